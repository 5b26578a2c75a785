"""Preflight asks the shop's own pump: what a blower does not hold, a rotary vane pump may."""

from __future__ import annotations

import pytest

from shopfloor.domain.drawing.preflight import holding_rules
from shopfloor.domain.holding.holding import NEEDS_MORE, WITH_ONION_SKIN, hold
from shopfloor.domain.settings import Settings


@pytest.mark.parametrize(
    ("shop", "verdict"),
    [
        (Settings(), NEEDS_MORE),
        (Settings(pump="rotary vane"), WITH_ONION_SKIN),
        (Settings(gauge_inhg=24.0), WITH_ONION_SKIN),
        (Settings(pump="rotary vane", leakage_share=0.7), NEEDS_MORE),
    ],
)
def test_a_small_letter_is_told_by_the_pump_that_the_shop_has(shop, verdict):
    """200 mm² on 6 mm: 24 inHg × 3386.389 Pa × 0.3 = 4.88 N against a skin's 4.8 N (NIST SP 811; the design's defaults)."""
    assert hold(200, 6, holding_rules(shop)).verdict == verdict
