"""`shopfloor measure`: what it prints and how its figures are made; not the figures, which are this machine's."""

from __future__ import annotations

import json

import pytest
from shapely import Polygon
from stdnum.iso7064 import mod_11_10

from shopfloor import cli, measuring
from shopfloor.drawings import reading
from shopfloor.measuring import drawing, families, figure, marks, pages, shops
from shopfloor.store import replay
from shopfloor.store.db import Database


def test_each_figure_is_one_json_object_a_line(capsys):
    status = cli.main(["measure", "first-visit", "labels", "--json"])
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["name"] for line in lines] == ["first-visit", "labels"]
    for line in lines:
        assert list(line) == ["name", "figure", "unit", "goal", "holds"]
        assert isinstance(line["figure"], float) and line["figure"] > 0
    assert [line["unit"] for line in lines] == ["kB", "s"]
    assert [line["goal"] for line in lines] == ["at most 60", "at most 3"]
    assert status == (0 if all(line["holds"] for line in lines) else 1)


def test_a_page_sends_little_on_the_first_visit():
    """Bytes do not depend on the machine, so this goal is a test."""
    (sent,) = pages.first_visit()
    assert sent.holds is True


def test_an_unknown_figure_is_refused_with_the_names_that_there_are(capsys):
    assert cli.main(["measure", "speed"]) == 2
    said = capsys.readouterr().err
    assert (
        said.startswith("There is no figure 'speed': name some of marks, mark-p95")
        and said.count("\n") == 1
    )


def test_the_goals_of_the_project_are_measured():
    names = {name for _, some in measuring.GROUPS for name in some}
    assert names >= {
        "marks",
        "mark-p95",
        "commits",
        "marks-of-bare",
        "floor-growth",
        "read-10000",
        "read-growth",
        "families-5000",
        "families-growth",
        "nest-yield",
        "box-yield",
        "nest-gain",
        "nest-30s",
        "squares-length",
        "labels",
        "first-visit",
        "demo-start",
    }


def test_marks_over_http_are_measured_beside_the_least_that_could_be_compared():
    """One round of one mark a tablet: an answer that is not 200 would raise."""
    found = {one.name: one for one in marks.measure(rounds=1, each=1)}
    assert set(found) == {"marks", "mark-p95", "tap-p95", "commits", "bare-marks", "marks-of-bare"}
    assert all(one.figure > 0 for one in found.values())


def test_the_busy_shop_is_a_shop_like_any_other(tmp_path):
    sheets = shops.busy_shop(tmp_path / "shop.db", 30)
    codes = [code for _, some in sheets for code in some]
    assert len(codes) >= 30 and all(mod_11_10.is_valid(code) for code in codes)
    database = Database(tmp_path / "shop.db", create=False)
    assert replay.differences(database.read()) == []
    database.close()


def test_closed_jobs_lie_behind_the_open_ones_and_break_no_reference(tmp_path):
    shops.busy_shop(tmp_path / "shop.db", 5)
    shops.add_closed_jobs(tmp_path / "shop.db", 20)
    database = Database(tmp_path / "shop.db")
    db = database.read()
    assert db.execute("SELECT count(*) FROM job WHERE state = 'closed'").fetchone()[0] == 20
    assert db.execute("PRAGMA foreign_key_check").fetchall() == []
    database.close()


def test_the_drawing_that_is_read_has_as_many_outlines_as_it_says():
    found = reading.read(drawing.svg(45).encode(), "45.svg").outlines
    assert len(found) == 45
    oval = found[1].outline.polygon
    assert len(oval.interiors) == 1, "a letter has its hole"
    assert oval.area == pytest.approx(0.75 * Polygon(oval.exterior).area, rel=0.01), (
        "a hole half as wide and high"
    )


def test_reading_is_measured_at_three_sizes():
    found = {one.name: one for one in drawing.measure(5, 10, 20)}
    assert set(found) == {"read-5", "read-10", "read-20", "read-growth"}
    assert found["read-growth"].goal == "at most 2.8", "1.4 × as much for twice as many"


def test_the_shapes_whose_families_are_found_are_so_many_and_none_is_cut_like_the_other():
    drawn = families.copies(2 * families.SHAPES)
    first, again = drawn[0].polygon, drawn[families.SHAPES].polygon
    assert first.is_valid and len(first.interiors) == 1
    assert first.area == pytest.approx(again.area, rel=1e-3) and len(first.exterior.coords) != len(
        again.exterior.coords
    )
    found = {one.name: one for one in families.measure(families.SHAPES, 2 * families.SHAPES)}
    assert set(found) == {"families-60", "families-120", "families-growth"}


@pytest.mark.parametrize(("share", "expected"), [(0.95, 95), (0.5, 50), (1.0, 100)])
def test_a_percentile_is_a_value_that_was_measured(share, expected):
    assert figure.percentile([float(value) for value in range(100, 0, -1)], share) == expected


def test_a_missed_goal_is_said_aloud():
    missed, reached = (
        figure.at_most("a", 51, "ms", 50, "marks"),
        figure.at_least("b", 0.5, "", 0.4, "ratio"),
    )
    assert (missed.holds, missed.sentence) == (False, "a: 51 ms, marks; at most 50 IS MISSED.")
    assert (reached.holds, reached.sentence) == (True, "b: 0.5, ratio; at least 0.4 holds.")
