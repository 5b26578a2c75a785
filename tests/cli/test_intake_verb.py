"""`shopfloor intake`: a drawing becomes a job, or one line says why not and nothing has changed."""

from __future__ import annotations

import pytest
from shapely import Polygon
from stdnum.iso7064 import mod_11_10

from shopfloor import cli_intake
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions import signs as sign_acts
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.store import jobs, people, sheets
from shopfloor.store.db import Database
from shopfloor.wording import jobs as wording
from shopfloor.wording.message import as_dict

ORDER = ("--customer", "Harbour Office", "--due", "2027-03-31", "--seconds", "0.3")

# The keys that a script may rely on, and the types of their values.
JOB = {"job": str, "signs": list, "sheets": list, "steps": list, "warnings": list}
SIGN = {"code": str, "width_mm": float, "height_mm": float, "levels": int, "parts": list}
PART = {
    "code": str,
    "colour": str,
    "stock": str,
    "level": int,
    "area_mm2": float,
    "width_mm": float,
    "height_mm": float,
    "family": int,
    "piece": str,
}
SHEET = {
    "code": str,
    "stock": str,
    "length_mm": float,
    "width_mm": float,
    "used_mm": float,
    "yield": float,
    "pieces": list,
}
WARNING = {"kind": str, "message": str}


def has_shape(thing: dict, shape: dict) -> bool:
    return {name: type(thing[name]) for name in shape} == shape


def test_intake_prints_one_object_of_the_promised_shape(job):
    assert has_shape(job, JOB)
    assert all(has_shape(sign, SIGN) for sign in job["signs"])
    assert all(has_shape(part, PART) for sign in job["signs"] for part in sign["parts"])
    assert all(has_shape(sheet, SHEET) for sheet in job["sheets"])
    assert all(has_shape(warning, WARNING) and "at" in warning for warning in job["warnings"])


def test_preflight_tells_what_the_cutter_cannot_reach_and_where(job):
    (corner,) = [warning for warning in job["warnings"] if warning["kind"] == "corner"]
    assert "'O' (no. 3) has 4 inside corners" in corner["message"]
    # The O's hole has square corners: in each, a square of the radius stays less a quarter of its circle.
    assert f"{4 * 3.175**2 * (1 - 3.14159 / 4):.1f} mm²" in corner["message"]
    x, y = corner["at"]
    assert min(abs(x - 120), abs(x - 160)) < 2 and min(abs(y - 50), abs(y - 100)) < 2, (
        "in the drawing, y up"
    )


def test_what_it_prints_is_the_drawing_at_full_size(job):
    (sign,) = job["signs"]
    assert (sign["width_mm"], sign["height_mm"], sign["levels"]) == (400, 150, 2)
    board, i, o, bar = sign["parts"]
    assert [part["name"] for part in sign["parts"]] == ["no. 1", "I", "O", "no. 4"]
    assert [part["level"] for part in sign["parts"]] == [0, 1, 1, 1]
    ring = Polygon([(0, 0), (80, 0), (80, 90), (0, 90)], [[(20, 20), (60, 20), (60, 70), (20, 70)]])
    assert [part["area_mm2"] for part in (board, i, o)] == [400 * 150, 20 * 90, ring.area]
    assert (o["x_mm"], o["y_mm"], o["width_mm"], o["height_mm"]) == (100, 30, 80, 90), (
        "from the lower left corner"
    )
    assert i["family"] == bar["family"] != o["family"], (
        "equal outlines of a stock are interchangeable"
    )


def test_each_piece_is_on_one_sheet_of_its_stock_and_bears_a_code_of_its_own(job):
    parts = job["signs"][0]["parts"]
    codes = (
        [part["piece"] for part in parts]
        + [job["signs"][0]["code"]]
        + [sheet["code"] for sheet in job["sheets"]]
    )
    assert len(set(codes)) == 7 and all(
        mod_11_10.is_valid(code) and len(code) == 8 for code in codes
    )
    for part in parts:
        (sheet,) = [
            s for s in job["sheets"] if part["piece"] in [piece["code"] for piece in s["pieces"]]
        ]
        assert sheet["stock"] == part["stock"]
        assert sheet["used_mm"] <= sheet["length_mm"]


def test_a_sheets_yield_is_net_area_over_used_length_times_width(job):
    (cream,) = [sheet for sheet in job["sheets"] if sheet["stock"] == "cream-6"]
    across = {"length": cream["width_mm"], "width": cream["length_mm"]}[cream["along"]]
    assert cream["yield"] == pytest.approx(
        (1800 + 5200 + 1800) / (cream["used_mm"] * across), abs=1e-4
    )


def test_a_colour_with_no_stock_takes_the_default_sheet_and_a_warning(job):
    messages = [warning["message"] for warning in job["warnings"] if warning["kind"] == "stock"]
    assert [part["stock"] for part in job["signs"][0]["parts"]] == ["dark-red-6"] + ["cream-6"] * 3
    assert len(messages) == 2 and "#f2e8cf" in messages[1] and "2440 × 1220 mm" in messages[1]


def test_the_shops_choice_is_remembered(run, drawing, job):
    again = run("intake", drawing(), *ORDER, "--json").json
    assert "stock" not in [warning["kind"] for warning in again["warnings"]]
    assert [part["stock"] for part in again["signs"][0]["parts"]] == ["dark-red-6"] + [
        "cream-6"
    ] * 3


def test_a_quantity_gives_so_many_signs_each_with_pieces_of_its_own(run, drawing):
    job = run("intake", drawing("plate"), *ORDER, "--quantity", "3", "--json").json
    assert [sign["called"] for sign in job["signs"]] == ["J-1001 A", "J-1001 B", "J-1001 C"]
    assert len({sign["parts"][0]["piece"] for sign in job["signs"]}) == 3
    assert {sign["parts"][0]["family"] for sign in job["signs"]} == {1}
    assert (job["signs"][0]["width_mm"], job["signs"][0]["height_mm"]) == (101.6, 50.8), "4 × 2 in"


def test_two_drawings_make_one_job_and_share_sheets(run, drawing):
    paths = drawing(name="one.svg"), drawing(name="two.svg")
    job = run("intake", *paths, *ORDER, "--title", "Both doors", "--json").json
    assert (len(job["signs"]), job["title"]) == (2, "Both doors")
    counts = {sheet["stock"]: len(sheet["pieces"]) for sheet in job["sheets"]}
    assert (len(job["sheets"]), counts) == (2, {"cream-6": 6, "dark-red-6": 2})


@pytest.mark.parametrize("colour", ["#f2e8cf", "f2e8cf", "F2E8CF", "cream"])
def test_a_stock_is_named_by_the_colours_figures_or_its_word(run, drawing, job, colour):
    run("intake", drawing("plate", "plate.svg"), *ORDER)  # brings blue-6
    said = run("intake", drawing(), *ORDER, "--stock", f"{colour}=blue-6", "--json")
    assert [part["stock"] for part in said.json["signs"][0]["parts"]] == ["dark-red-6"] + [
        "blue-6"
    ] * 3


def test_without_json_it_says_so_in_a_sentence(run, drawing):
    said = run("intake", drawing("plate"), *ORDER)
    assert said.out.startswith("J-1001 is added: 1 sign, 1 piece.") and said.out.count("\n") == 1


# Answers that a page would have asked for. ----------------------------------------------------------------------------

SIGNS = """<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="400mm" viewBox="0 0 900 400">
<rect width="400" height="200" fill="#8c2f39"/><rect x="30" y="50" width="60" height="90" fill="#f2e8cf"/>
<g transform="translate(500 0)"><rect width="400" height="200" fill="#8c2f39"/>
<rect x="30" y="50" width="60" height="90" fill="#f2e8d0"/></g>
<rect x="20" y="300" width="30" height="60" fill="#f2e8cf"><title>A</title></rect></svg>"""
NO_UNIT = """<svg xmlns="http://www.w3.org/2000/svg" width="40" height="20">
<rect width="40" height="20" fill="#33658a"/></svg>"""


def kinds(job: dict) -> list[str]:
    return [warning["kind"] for warning in job["warnings"]]


@pytest.mark.parametrize(
    ("unit", "width_mm"), [("mm", 40), ("cm", 400), ("in", 1016), ("ft", 12192)]
)
def test_a_drawing_that_names_no_unit_is_read_in_the_one_that_is_named(
    run, drawing, unit, width_mm
):
    job = run("intake", drawing(NO_UNIT), *ORDER, "--unit", unit, "--json").json
    assert job["signs"][0]["width_mm"] == width_mm
    assert "units" not in kinds(job)


def test_without_a_word_of_its_unit_the_guess_is_a_warning(run, drawing):
    job = run("intake", drawing(NO_UNIT), *ORDER, "--json").json
    assert "units" in kinds(job)
    assert job["signs"][0]["width_mm"] == pytest.approx(
        40 * 25.4 / 96, abs=0.001
    )  # CSS: 96 px to the inch


def test_nearly_equal_colours_are_one_material_unless_they_are_to_be_kept(run, drawing):
    joined = run("intake", drawing(SIGNS), *ORDER, "--json").json
    assert {part["stock"] for sign in joined["signs"] for part in sign["parts"]} == {
        "dark-red-6",
        "cream-6",
    }
    (message,) = [w["message"] for w in joined["warnings"] if w["kind"] == "colours"]
    assert "#f2e8cf and #f2e8d0" in message and "--keep-colours" in message
    apart = run("intake", drawing(SIGNS), *ORDER, "--keep-colours", "--json").json
    assert {part["colour"] for sign in apart["signs"] for part in sign["parts"]} == {
        "#8c2f39",
        "#f2e8cf",
        "#f2e8d0",
    }
    assert "colours" not in kinds(apart)


def test_a_part_that_lies_on_no_board_is_a_sign_of_its_own_with_a_warning(run, drawing):
    job = run("intake", drawing(SIGNS), *ORDER, "--json").json
    assert [len(sign["parts"]) for sign in job["signs"]] == [2, 2, 1]
    (warning,) = [found for found in job["warnings"] if found["kind"] == "off-base"]
    assert "'A' (30 × 60 mm) is not on any panel" in warning["message"] and warning["at"] == [
        20,
        40,
    ]


def test_sets_and_the_number_of_each_sign_multiply(run, drawing):
    job = run(
        "intake",
        drawing(SIGNS),
        *ORDER,
        "--quantity",
        "2",
        "--each",
        "A=3",
        "--each",
        "c=2",
        "--json",
    ).json
    assert len(job["signs"]) == 2 * (3 + 1 + 2)
    assert [len(sign["parts"]) for sign in job["signs"]] == 2 * [2, 2, 2, 2, 1, 1]


def test_spares_in_stock_are_used_unless_they_are_to_be_left(run, drawing, shop_file):
    run("intake", drawing("plate"), *ORDER, "--json")
    make_a_spare(shop_file)
    anew = run("intake", drawing("plate"), *ORDER, "--no-spares", "--json").json
    assert [part["state"] for part in anew["signs"][0]["parts"]] == ["nested"]
    used = run("intake", drawing("plate"), *ORDER, "--json").json
    assert [part["state"] for part in used["signs"][0]["parts"]] == ["ready"]
    assert [sheet["state"] for sheet in used["sheets"]] == ["closed"], (
        "the one that it was cut from"
    )
    third = run("intake", drawing("plate"), *ORDER, "--json").json
    assert [part["state"] for part in third["signs"][0]["parts"]] == ["nested"], (
        "a piece serves once"
    )


def make_a_spare(path) -> None:
    """The first job's plate is cut, then its sign is cancelled."""
    database = Database(path)
    shop = Shop(database)
    by = people.owner_by(shop.read(), "test")
    (sheet,) = sheets.live_rows(shop.read())
    sheet_acts.start(Caller(shop, by), sheet.code)
    sheet_acts.finish(Caller(shop, by), sheet.code)
    here = sheets.on_sheet(shop.read(), sheet.id)
    sheet_acts.mark_rest_cut(Caller(shop, by), sheet.code, [piece.code for piece in here])
    sign_acts.cancel(Caller(shop, by), jobs.signs_of_job(shop.read(), 1)[0].id, "the customer left")
    database.close()


LIVE_TEXT = '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm"><text x="5" y="20">Open</text></svg>'


@pytest.mark.parametrize(
    ("text", "words", "reason"),
    [
        ("plate", ("--due", "soon"), "'soon' is not a date"),
        ("plate", ("--due", "2027-02-30"), "is not a date"),
        ("plate", ("--customer", " "), "Enter the customer"),
        ("plate", ("--quantity", "0"), "The quantity must be a whole number from 1"),
        ("plate", ("--each", "A"), "write it as SIGN=NUMBER"),
        ("plate", ("--each", "A=-1"), "write it as SIGN=NUMBER"),
        ("plate", ("--each", "A=0"), "a whole number from 1 to 500"),
        ("plate", ("--each", "B=2"), "has no sign B, only A"),
        ("plate", ("--stock", "blue-6"), "write it as COLOUR=CODE"),
        (
            "plate",
            ("--stock", "green=blue-6"),
            "The drawing has no colour green. It has #33658a (blue)",
        ),
        ("plate", ("--stock", "blue=gold-3"), "gold-3"),
        ("plate", ("--by", "Nobody"), "Nobody"),
        (LIVE_TEXT, (), "Open"),
        ("not a drawing", (), "is not a drawing"),
        ("<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'/>", (), "no outline"),
    ],
)
def test_what_is_refused_leaves_no_new_file_behind(
    refused, drawing, shop_file, text, words, reason
):
    assert reason in refused("intake", drawing(text), *ORDER, *words)
    assert [path.name for path in shop_file.parent.iterdir()] == ["sign.svg"]


@pytest.mark.parametrize(
    "words",
    [("--due", "soon"), ("--stock", "blue=gold-3"), ("--by", "Nobody"), ("--quantity", "501")],
)
def test_what_is_refused_leaves_a_shop_as_it_was(refused, drawing, job, words):
    refused("intake", drawing("plate", "plate.svg"), *ORDER, *words)


def test_a_drawing_that_is_not_there_is_named(refused, tmp_path):
    assert "nowhere.svg cannot be read" in refused("intake", tmp_path / "nowhere.svg", *ORDER)


def test_a_part_that_fits_no_sheet_is_named_and_the_rest_goes_on(run, drawing):
    long = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="3000mm" height="300mm" viewBox="0 0 3000 300">'
        '<rect id="fascia" width="3000" height="100" fill="#33658a"/>'
        '<rect id="plate" y="200" width="100" height="50" fill="#33658a"/></svg>'
    )
    job = run("intake", drawing(long), *ORDER, "--json").json
    (warning,) = [found for found in job["warnings"] if found["kind"] == "no room"]
    assert "fascia" in warning["message"]
    states = {part["name"]: part["state"] for sign in job["signs"] for part in sign["parts"]}
    assert states == {"fascia": "waiting", "plate": "nested"}


def test_a_file_that_is_no_database_is_left_alone(run, drawing, shop_file):
    letters = b"my holiday letters " * 100
    shop_file.write_bytes(letters)
    said = run("intake", drawing(), *ORDER)
    assert (said.status, said.out, said.err.count("\n")) == (2, "", 1)
    assert shop_file.read_bytes() == letters


PLATE_CALLED = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
<rect width="40" height="20" fill="#33658a"><title>{}</title></rect></svg>"""


def test_names_from_the_drawing_are_kept_as_text(run, drawing):
    job = run("intake", drawing(PLATE_CALLED.format("&lt;b&gt; üß 'x'")), *ORDER, "--json").json
    assert job["signs"][0]["parts"][0]["name"] == "<b> üß 'x'"


def test_a_reason_in_an_older_answer_is_shown_as_it_was_kept():
    kept = ["There was no room for 'A'.", as_dict(wording.spares_will_be_used(1))]
    assert cli_intake.sentences(kept) == [
        "There was no room for 'A'.",
        "1 spare in stock will be used. Print a new label for it.",
    ]
