"""The chance that a piece is lost at the router, learned from what the shop has cut and lost so far.

Owns the estimate (Beta-binomial by size band, hold-down and pump), its interval, and whether such forecasts held. Must not
decide how a piece is held (hold_down_choice.py), nor read the ledger. Areas mm²; chances and shares from 0 to 1.

How it learns. Before anything was cut, the piece's own safety factor says what to expect, with the weight of a few pieces;
what was cut and lost in its band counts beside that, piece for piece. So there is no cliff between no data and some, and
two pieces a hair apart on both sides of a band's edge start from the same chance. The neighbouring bands lend their
results, each piece counting half and all of a band's together at most LENT_PIECES: enough that a shop whose vacuum holds
better than expected dares a little smaller pieces from sheet to sheet, and little against the band's own results later.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

from ...wording import holding as wording
from ...wording.message import Message
from ..errors import Refused

# Each band's upper bound of net area, where the next begins: a choice.
BANDS_MM2 = (200.0, 500.0, 1_000.0, 2_500.0, 10_000.0, 40_000.0, 160_000.0, math.inf)

# What is expected before there are results. All from memory, since nothing is published.
LOST_AT_FACTOR_1 = 0.15  # at a safety factor of 1 a piece barely stays, and some of those move
FLOOR, CEILING = (
    0.003,
    0.97,
)  # even what is held well is lost now and then; nothing is given up for lost
PRIOR_PIECES = (
    3.0  # how many pieces of its own kind the safety factor weighs; more where it promises much:
)
PRIOR_LOSSES = 0.1  # so many of them are lost at least; else one unlucky loss would unfairly penalise a good hold-down
LENT_SHARE, LENT_PIECES = 1 / 2, 10.0  # of a neighbouring band's results
# The last four were tried on the simulated shops of tests/domain/holding/test_learning.py.

INTERVAL = 0.95
Z = NormalDist().inv_cdf((1 + INTERVAL) / 2)
# Chances crowd near 0, so bins of one width would say little.
BIN_EDGES = (0.0, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 1.0)


@dataclass(frozen=True)
class Kind:
    """What pieces are counted together by: the number of their size band, the hold-down, the pump."""

    band: int
    hold_down: str
    pump: str


@dataclass(frozen=True)
class Tally:
    """How many pieces of a kind had an outcome at the router, and how many of them moved (lost or damaged)."""

    cut: int
    lost: int

    def __post_init__(self) -> None:
        if not 0 <= self.lost <= self.cut:
            raise Refused(wording.more_lost_than_cut())


@dataclass(frozen=True)
class Chance:
    """The chance that a piece is lost.

    `mean` is the expected share; `prior` what its safety factor alone says. `cut` and `lost` are the results of its own
    kind, `lent` the weight in pieces of those of the neighbouring bands, `weight` that of everything together. The chance
    is distributed as Beta(mean × weight, (1 − mean) × weight).
    """

    mean: float
    prior: float
    cut: int
    lost: int
    lent: float
    weight: float

    @property
    def low(self) -> float:
        """The lower end of the central 95 % interval."""
        return self._quantile((1 - INTERVAL) / 2)

    @property
    def high(self) -> float:
        """The upper end of the central 95 % interval."""
        return self._quantile((1 + INTERVAL) / 2)

    def _quantile(self, share: float) -> float:
        return beta_quantile(share, self.mean * self.weight, (1 - self.mean) * self.weight)


@dataclass(frozen=True)
class Bin:
    """What came of the pieces whose chance lay from `low` to below `high`.

    `predicted` is the mean of their chances, `observed` the share of the `count` pieces that was lost, with its Wilson 95 %
    interval.
    """

    low: float
    high: float
    predicted: float
    observed: float
    count: int
    observed_low: float
    observed_high: float

    @property
    def has_held(self) -> bool:
        """True where the forecast lies within the interval of what was observed."""
        return self.observed_low <= self.predicted <= self.observed_high


# Counting. ------------------------------------------------------------------------------------------------------------


def band_of(area_mm2: float) -> int:
    """The number of the size band of a net area, from 0; a bound belongs to the band above it."""
    return bisect_right(BANDS_MM2[:-1], area_mm2)


def band_name(band: int) -> Message:
    """'under 200 mm²', '200 to 500 mm²', 'from 160,000 mm²'."""
    below, above = BANDS_MM2[band - 1] if band else None, BANDS_MM2[band]
    return wording.size_band(below, None if math.isinf(above) else above)


def added(tallies: Mapping[Kind, Tally], more: Mapping[Kind, Tally]) -> dict[Kind, Tally]:
    """Both counts together: what was known, and what one more sheet adds."""
    both = dict(tallies)
    for kind, tally in more.items():
        known = both.get(kind, Tally(0, 0))
        both[kind] = Tally(known.cut + tally.cut, known.lost + tally.lost)
    return both


# The chance. ----------------------------------------------------------------------------------------------------------


def prior_mean(safety_factor: float) -> float:
    """The chance that a piece with this safety factor is lost, before there are results.

    The odds of staying grow with the square of the factor, between a floor and a ceiling: about 0.64 at 0.3, 0.15 at 1,
    0.02 at 3. The curve is from memory, no more than a place to start from.
    """
    odds_of_staying = (1 - LOST_AT_FACTOR_1) / LOST_AT_FACTOR_1 * max(0.0, safety_factor) ** 2
    return FLOOR + (CEILING - FLOOR) / (1 + odds_of_staying)


def chance(safety_factor: float, kind: Kind, tallies: Mapping[Kind, Tally]) -> Chance:
    """The chance that a piece of this kind is lost, from its safety factor and what the shop has cut and lost so far.

    The posterior of a Beta prior and a binomial count, which is Beta(a + lost, b + kept): the closed form of a conjugate prior.
    """
    prior = prior_mean(safety_factor)
    own = tallies.get(kind, Tally(0, 0))
    pieces_before = max(PRIOR_PIECES, PRIOR_LOSSES / prior)
    weight, losses, lent = pieces_before + own.cut, pieces_before * prior + own.lost, 0.0
    for band in (kind.band - 1, kind.band + 1):
        near = tallies.get(Kind(band, kind.hold_down, kind.pump))
        if near and near.cut:
            pieces = min(LENT_SHARE * near.cut, LENT_PIECES)
            lent += pieces
            losses += pieces * near.lost / near.cut
    return Chance(losses / (weight + lent), prior, own.cut, own.lost, lent, weight + lent)


# The Beta distribution. -----------------------------------------------------------------------------------------------


def beta_cdf(x: float, a: float, b: float) -> float:
    """The regularised incomplete beta function I_x(a, b) for a, b > 0.

    By the continued fraction of NIST's Digital Library of Mathematical Functions, 8.17.22, which closes quickly below the
    mean; above it by I_x(a, b) = 1 − I_{1−x}(b, a), 8.17.4.
    """
    if not 0 < x < 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - _beta_below_mean(1 - x, b, a)
    return _beta_below_mean(x, a, b)


def _beta_below_mean(x: float, a: float, b: float) -> float:
    # from the inmost term outwards; it needs about √(a + b) of them
    tail = 1.0
    for m in range(20 + 2 * math.isqrt(int(a + b)), 0, -1):
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        tail = 1 + even / (1 + odd / tail)
    log_beta = math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - log_beta) / a
    return front / (1 - (a + b) * x / (a + 1) / tail)


@lru_cache(maxsize=4096)
def beta_quantile(share: float, a: float, b: float) -> float:
    """The x from 0 to 1 below which `share` of Beta(a, b) lies, to 1e-14, by halving."""
    low, high = 0.0, 1.0
    while high - low > 1e-14:
        middle = (low + high) / 2
        low, high = (low, middle) if beta_cdf(middle, a, b) > share else (middle, high)
    return low


# Whether the forecasts held. --------------------------------------------------------------------------------------------


def wilson(count: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share, `count` out of `of` (more than 0): Wilson 1927, the score interval."""
    share, z2 = count / of, Z**2 / of
    middle, half = share + z2 / 2, math.sqrt(z2 * (share * (1 - share) + z2 / 4))
    return max(0.0, (middle - half) / (1 + z2)), min(1.0, (middle + half) / (1 + z2))


def reliability(
    predictions: Iterable[tuple[float, bool]], edges: Sequence[float] = BIN_EDGES
) -> tuple[Bin, ...]:
    """What came of pieces by the chance that was forecast for them: one (chance, was it lost) a piece.

    `edges` rise from 0 to 1; a chance on an edge counts above it, 1 in the last bin. Empty bins are left out.
    """
    binned: list[list[tuple[float, bool]]] = [[] for _ in edges[1:]]
    for prediction in predictions:
        binned[bisect_right(edges[1:-1], prediction[0])].append(prediction)
    return tuple(
        _bin(edges[at], edges[at + 1], inside) for at, inside in enumerate(binned) if inside
    )


def _bin(low: float, high: float, inside: Sequence[tuple[float, bool]]) -> Bin:
    count, lost = len(inside), sum(was_lost for _, was_lost in inside)
    predicted = math.fsum(chance for chance, _ in inside) / count
    return Bin(low, high, predicted, lost / count, count, *wilson(lost, count))
