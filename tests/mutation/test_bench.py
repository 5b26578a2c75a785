"""The mutation bench itself: which mutants a file has, and that each is a different program. The bench is run by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from mutation.bench import LAYERS, chosen, is_another_program, mutants_of

SOURCE = '''"""Widths – in mm."""
LEAST = 5


def fits(width: int = 2, *, names=()) -> str | None:
    if not names and width >= LEAST:
        return "wide"
    return f"{width + 1}" if width * 2 is not None else None
'''


def changes() -> list[tuple[int, str, str]]:
    return [(each.line, each.old, each.new) for each in mutants_of("fits.py", SOURCE.encode())]


def test_operators_numbers_nots_and_early_returns_are_changed():
    assert changes() == [
        (2, "5", "4"),
        (2, "5", "6"),
        (5, "2", "1"),
        (5, "2", "3"),
        (6, "not", ""),
        (6, "and", "or"),
        (6, ">=", ">"),
        (7, '"wide"', "None"),
        (8, "*", "/"),
        (8, "2", "1"),
        (8, "2", "3"),
        (8, "is not", "is"),
    ]


def test_what_runs_on_import_is_reached_by_every_test_of_the_file():
    lines = {each.line: each.lines for each in mutants_of("fits.py", SOURCE.encode())}
    assert lines == {2: (), 5: (), 6: (6,), 7: (6,), 8: (8,)}


def test_a_mutant_is_another_program():
    source = SOURCE.encode()
    assert all(is_another_program(mutant, source) for mutant in mutants_of("fits.py", source))


def test_what_is_no_program_or_the_same_one_is_no_mutant():
    mutant = mutants_of("fits.py", SOURCE.encode())[0]
    for new in ("(", " 5"):
        assert not is_another_program(replace(mutant, new=new), SOURCE.encode())


@pytest.mark.parametrize("layer", LAYERS)
def test_a_hundred_of_each_layer_are_chosen_the_same_each_time(layer):
    found = chosen(layer)
    assert len(set(found)) == 100
    assert found == chosen(layer)
