"""`shopfloor setup-sheet`, `shopfloor file`, and how the pieces of a sheet are held in what `show --json` prints."""

from __future__ import annotations

import hashlib
import sqlite3
from xml.etree import ElementTree

import ezdxf
import pypdfium2
import pytest

from shopfloor import cli
from shopfloor.actions import people as people_acts
from shopfloor.actions import sheets as sheet_acts
from shopfloor.actions.unit_of_work import Caller, Shop
from shopfloor.store import people as people_store
from shopfloor.store.db import Database

WAYS = {"full", "skin", "tabs", "tape"}


@pytest.fixture
def letters(job) -> dict:
    """The sheet with the three letters, as `intake --json` printed it."""
    return next(sheet for sheet in job["sheets"] if len(sheet["pieces"]) == 3)


def sent(shop_file) -> list[tuple]:
    """What the database knows of files that went to the machine: name, checksum, by whom."""
    with sqlite3.connect(shop_file) as db:
        return db.execute(
            "SELECT f.name, f.sha256, p.name FROM machine_file f JOIN person p ON p.id = f.person"
        ).fetchall()


def hire(shop_file, name: str, role: str) -> None:
    database = Database(shop_file)
    shop = Shop(database)
    people_acts.add_person(Caller(shop, people_store.owner_by(shop.read(), "test")), name, [role])
    database.close()


# The setup sheet. ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("named", ["number", "code", "s202"])
def test_the_setup_sheet_of_a_sheet_is_written_however_the_sheet_is_named(
    run, letters, tmp_path, named
):
    out = tmp_path / "setup-sheet.pdf"
    said = run("setup-sheet", letters.get(named, named), "-o", out)
    assert (said.status, said.err, said.out) == (
        0,
        "",
        f"The setup sheet of {letters['number']} is in {out}.\n",
    )
    text = "".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(out))
    for words in (
        letters["number"],
        "18,000 rpm",
        *(f"{c['code'][:4]} {c['code'][4:]}" for c in letters["pieces"]),
    ):
        assert words in text


def test_a_setup_sheet_comes_on_the_paper_asked_for(run, letters, tmp_path):
    """Letter is 8.5 × 11 in of 72 points, A4 210 × 297 mm (ISO 216)."""
    for paper, sides in (("letter", {612, 792}), ("a4", {595, 842})):
        assert (
            run("setup-sheet", letters["number"], "-o", tmp_path / "t.pdf", "--paper", paper).status
            == 0
        )
        assert {
            round(side) for side in pypdfium2.PdfDocument(tmp_path / "t.pdf")[0].get_size()
        } == sides


def test_the_old_name_of_the_verb_still_writes_it(run, letters, tmp_path):
    out = tmp_path / "ticket.pdf"
    assert run("ticket", letters["number"], "-o", out).status == 0
    assert out.read_bytes().startswith(b"%PDF")


def test_a_setup_sheet_changes_nothing_in_the_shop(run, shop_file, letters, tmp_path):
    before = sqlite3.connect(shop_file).execute("SELECT count(*) FROM ledger").fetchone()
    run("setup-sheet", letters["number"], "-o", tmp_path / "setup-sheet.pdf")
    assert sqlite3.connect(shop_file).execute("SELECT count(*) FROM ledger").fetchone() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["S-999"], "Sheet not found"),
        (["J-1001"], ""),
        (["12"], ""),
        (["S-202", "--paper", "a5"], "on A4 or letter"),
    ],
)
def test_a_setup_sheet_that_cannot_be_is_refused_and_writes_nothing(
    refused, letters, tmp_path, words, says
):
    sheet, *more = words
    assert (
        says.lower()
        in refused("setup-sheet", sheet, "-o", tmp_path / "setup-sheet.pdf", *more).lower()
    )
    assert not (tmp_path / "setup-sheet.pdf").exists()


# The file for the machine. --------------------------------------------------------------------------------------------


def test_an_svg_is_written_at_full_size_and_recorded_with_its_checksum(
    run, shop_file, letters, tmp_path
):
    out = tmp_path / "nest.svg"
    said = run("file", letters["number"], "-o", out)
    sha256 = hashlib.sha256(out.read_bytes()).hexdigest()
    assert (said.status, said.err) == (0, "")
    assert said.out == f"nest.svg went to the machine, checksum {sha256[:12]}.\n"
    assert sent(shop_file) == [("nest.svg", sha256, "Owner")]
    root = ElementTree.fromstring(out.read_bytes())
    assert (root.get("width"), root.get("height")) == (
        f"{letters['length_mm']:g}mm",
        f"{letters['width_mm']:g}mm",
    )
    assert run("check").status == 0


def test_a_dxf_is_written_in_millimetres_by_the_one_who_is_named(run, shop_file, letters, tmp_path):
    hire(shop_file, "Ines", "operator")
    out = tmp_path / "NEST.DXF"
    assert run("file", letters["code"], "-o", out, "--by", "Ines").status == 0
    drawing = ezdxf.readfile(out)
    assert drawing.header["$INSUNITS"] == 4, "millimetres, by the DXF reference"
    closed = [
        line
        for line in drawing.modelspace().query("LWPOLYLINE POLYLINE")
        if line.dxf.layer.startswith("outside")
    ]
    assert len(closed) == 3, "the outer rings of I, O and the bar"
    assert sent(shop_file) == [("NEST.DXF", hashlib.sha256(out.read_bytes()).hexdigest(), "Ines")]


@pytest.mark.parametrize("name", ["nest.txt", "nest.pdf", "nest", "svg", ".svg", "nest.svg.gz"])
def test_another_ending_is_refused_in_one_line_and_nothing_is_recorded(
    refused, shop_file, letters, tmp_path, name
):
    assert (
        refused("file", letters["number"], "-o", tmp_path / name)
        == "Choose a kind of file: svg or dxf."
    )
    assert not (tmp_path / name).exists() and sent(shop_file) == []


def test_a_file_into_a_folder_that_is_not_there_is_not_recorded(
    refused, shop_file, letters, tmp_path
):
    assert "cannot be written" in refused(
        "file", letters["number"], "-o", tmp_path / "nowhere" / "nest.svg"
    )
    assert sent(shop_file) == []


@pytest.mark.parametrize("by", ["Nobody", "Milo"])
def test_who_may_not_send_a_file_leaves_none_behind(refused, shop_file, letters, tmp_path, by):
    hire(shop_file, "Milo", "assembler")
    refused("file", letters["number"], "-o", tmp_path / "nest.svg", "--by", by)
    assert not (tmp_path / "nest.svg").exists() and sent(shop_file) == []


def test_a_sheet_that_is_closed_has_no_file_any_more(run, refused, letters, tmp_path):
    for code in (piece["code"] for piece in letters["pieces"]):
        run("mark", code, "--as", "cut")
    database = Database(tmp_path / "shop.db")
    shop = Shop(database)
    by = people_store.owner_by(shop.read(), "test")
    sheet_acts.finish(Caller(shop, by), letters["code"])
    sheet_acts.close(Caller(shop, by), letters["code"])
    database.close()
    assert "nothing left to cut" in refused("file", letters["number"], "-o", tmp_path / "nest.svg")
    assert not (tmp_path / "nest.svg").exists()


# Show. ----------------------------------------------------------------------------------------------------------------


def test_show_says_how_each_piece_of_a_sheet_is_held_and_what_was_expected(run, letters):
    shown = run("show", letters["number"], "--json").json
    assert shown["path_min"] > 0 and len(shown["pieces"]) == 3
    for piece in shown["pieces"]:
        assert {piece["held_by"], piece["advised"]} <= WAYS and piece["held_by"] == piece["advised"]
        assert piece["verdict"] in ("holds", "with a skin", "needs tabs or tape")
        assert piece["margin"] > 0 and 0 < piece["chance"] < 1
        assert (piece["tabs"] > 0) == (piece["held_by"] == "tabs")
    again = run("show", shown["pieces"][0]["code"], "--json").json
    assert again["tabs"] == shown["pieces"][0]["tabs"], "the piece itself is shown with as many"


def test_the_safety_factor_of_a_board_in_a_full_pass_is_its_friction_over_the_cutting_force(
    run, job
):
    """Friction 0.3 × a blower's 8 inHg × 3386.389 Pa (NIST SP 811) × 400 × 150 mm, over 0.12 J/mm³ × 6 mm × 0.10 mm = 72 N
    (friction and energy from memory): 6.77. The cutter runs beside the piece, so the kerf takes nothing of it."""
    board = next(sheet for sheet in job["sheets"] if len(sheet["pieces"]) == 1)
    (piece,) = run("show", board["number"], "--json").json["pieces"]
    assert (piece["verdict"], piece["held_by"], piece["tabs"]) == ("holds", "full", 0)
    assert piece["margin"] == pytest.approx(0.3 * 8 * 3386.389e-6 * 400 * 150 / 72, abs=1e-4)


# Help. ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("verb", "words"),
    [
        (
            "setup-sheet",
            ("setup sheet as PDF", "S-201 or the sheet's code", "FILE.pdf", "a4 or letter", "--db"),
        ),
        (
            "file",
            (
                "SVG or DXF, and records it",
                "FILE.svg|FILE.dxf",
                "the ending sets the kind",
                "(default: the owner)",
            ),
        ),
    ],
)
def test_the_help_of_a_verb_says_what_it_takes(capsys, verb, words):
    with pytest.raises(SystemExit) as stop:
        cli.main([verb, "--help"])
    shown = " ".join(capsys.readouterr().out.split())
    assert stop.value.code == 0
    for said in words:
        assert said in shown
