"""One figure of the project: what was measured, what it should be, whether it is. Must not measure anything."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from statistics import median
from typing import Any


@dataclass(frozen=True)
class Figure:
    """A measured value with its unit. `goal` says what it should be ('at most 50'), `holds` whether it is; both are None
    where there is no goal. `what` is for people."""

    name: str
    figure: float
    unit: str
    what: str
    goal: str | None = None
    holds: bool | None = None

    def as_dict(self) -> dict[str, Any]:
        """The figure as `shopfloor measure --json` prints it."""
        kept = asdict(self)
        return {name: kept[name] for name in ("name", "figure", "unit", "goal", "holds")}

    @property
    def sentence(self) -> str:
        """The figure in words."""
        said = f"{self.name}: {self.figure:g} {self.unit}".rstrip() + f", {self.what}"
        if self.goal is None:
            return f"{said}."
        return f"{said}; {self.goal} {'holds' if self.holds else 'IS MISSED'}."


def plain(name: str, value: float, unit: str, what: str) -> Figure:
    """A figure that is shown beside others and has no goal of its own."""
    return Figure(name, _shown(value), unit, what)


def at_most(name: str, value: float, unit: str, goal: float, what: str) -> Figure:
    """A figure that should not be above its goal."""
    return Figure(name, _shown(value), unit, what, f"at most {goal:g}", value <= goal)


def at_least(name: str, value: float, unit: str, goal: float, what: str) -> Figure:
    """A figure that should not be below its goal."""
    return Figure(name, _shown(value), unit, what, f"at least {goal:g}", value >= goal)


def percentile(values: list[float], share: float) -> float:
    """The value that `share` (0 to 1) of them do not exceed: the nearest rank."""
    ordered = sorted(values)
    return ordered[max(0, -(-int(share * 1000) * len(ordered) // 1000) - 1)]


def middle(values: list[float]) -> float:
    """The median: one slow moment of the machine does not move it."""
    return median(values)


def _shown(value: float) -> float:
    """Three figures that mean something."""
    return float(f"{value:.3g}") if abs(value) < 1000 else float(round(value))
