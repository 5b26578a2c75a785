"""`shopfloor revise`: a new drawing for a job under way; --look changes nothing."""

from __future__ import annotations

from tests.cli.conftest import SIGN

ORDER = ("--customer", "Harbour Office", "--due", "2027-03-31", "--seconds", "0.3")


def test_look_says_what_it_would_cost_and_changes_nothing(run, drawing):
    run("intake", drawing(), *ORDER)
    before = run("show", "J-1001", "--json").json
    wider = SIGN.replace('<rect x="220" y="30" width="20"', '<rect x="220" y="30" width="26"')
    said = run("revise", "J-1001", drawing(wider), "--look", "--json")
    assert said.status == 0
    assert {
        word: said.json["costs"][word]
        for word in ("same", "moved", "new", "gone", "to_cut", "withdrawn")
    } == {
        "same": 3,
        "moved": 0,
        "new": 1,
        "gone": 1,
        "to_cut": 1,
        "withdrawn": 1,
    }
    assert run("show", "J-1001", "--json").json == before


def test_it_changes_the_job_and_the_ledger_still_replays(run, drawing):
    run("intake", drawing(), *ORDER)
    wider = SIGN.replace('x="220" y="30" width="20"', 'x="220" y="30" width="26"')
    said = run("revise", "1001", drawing(wider), "--seconds", "0.3")
    assert said.status == 0 and "1 piece to cut and 1 uncut piece not needed." in said.out
    parts = run("show", "J-1001 A", "--json").json["parts"]
    assert sorted(part["width_mm"] for part in parts) == [20, 26, 80, 400]
    assert run("check").status == 0


def test_what_cannot_be_changed_is_one_line_and_nothing_is_kept(run, refused, drawing):
    run("intake", drawing(), *ORDER)
    assert "changes nothing" in refused("revise", "J-1001", drawing())
    assert "no job 7" in refused("revise", "7", drawing())
    assert refused("revise", "J-1001", drawing("<svg"))
