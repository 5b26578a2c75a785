"""The shop's settings as they are before anybody changes one."""

from __future__ import annotations

import pytest

from shopfloor.domain.settings import FIELDS

NUMBERS = [field for field in FIELDS.values() if field.kind is not str]


@pytest.mark.parametrize("field", NUMBERS, ids=lambda field: field.name)
def test_a_default_is_a_value_that_may_be_typed(field):
    assert field.read(f"{field.default}") == field.default
