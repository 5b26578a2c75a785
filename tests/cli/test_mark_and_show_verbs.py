"""`shopfloor mark`, `show` and `labels`: what happened to a piece, and what is known of it."""

from __future__ import annotations

import pypdfium2
import pytest
import zxingcpp
from stdnum.iso7064 import mod_11_10


def state_of(run, code: str) -> str:
    return run("show", code, "--json").json["state"]


def wrong_digit(code: str) -> str:
    return code[:-1] + str((int(code[-1]) + 1) % 10)


def unused(codes: list[str]) -> str:
    return next(code for number in range(100) if (code := mod_11_10_code(number)) not in codes)


def mod_11_10_code(number: int) -> str:
    digits = f"{number:07d}"
    return digits + mod_11_10.calc_check_digit(digits)


def test_pieces_are_marked_and_shown(run, codes):
    said = run("mark", *codes, "--as", "cut", "--json")
    assert said.status == 0
    assert [(piece["code"], piece["state"], piece["was"]) for piece in said.json["pieces"]] == [
        (code, "ready", "nested") for code in codes
    ]
    assert [
        part["state"] for part in run("show", "J-1001", "--json").json["signs"][0]["parts"]
    ] == ["ready"] * 4


def test_a_lost_piece_makes_one_recut_however_often_it_is_said(run, codes):
    first = run("mark", codes[1], "--as", "lost", "--json").json
    (recut,) = first["recuts"]
    again = run("mark", codes[1], "--as", "lost")
    assert again.out == f"Already lost. Its recut is {recut[:4]} {recut[4:]}.\n"
    assert (state_of(run, codes[1]), state_of(run, recut)) == ("lost", "waiting")
    shown = run("show", recut, "--json").json
    assert (shown["attempt"], shown["sheet"]) == (2, None) and shown["tabs"] >= 2
    assert run("mark", codes[1], "--as", "found").status == 0
    assert (state_of(run, codes[1]), state_of(run, recut)) == ("ready", "withdrawn")


@pytest.mark.parametrize("written", ["{0} {1}", "{0}-{1}", "HTTP://SHOP.LOCAL:8000/P/{0}{1}"])
def test_a_code_may_be_written_as_it_is_printed(run, codes, written):
    code = written.format(codes[0][:4], codes[0][4:])
    assert run("mark", code, "--as", "cut").status == 0
    assert state_of(run, codes[0]) == "ready"


def test_a_mistyped_code_is_refused_by_its_check_digit(refused, codes):
    assert "mistyped digit" in refused("mark", wrong_digit(codes[0]), "--as", "cut")


def test_an_unknown_code_is_refused(refused, codes):
    code = unused(codes)
    assert f"{code[:4]} {code[4:]}" in refused("mark", code, "--as", "cut")


def test_a_mark_that_the_state_does_not_allow_is_refused(refused, codes):
    refused("mark", codes[0], "--as", "trimmed")


def test_of_several_pieces_all_are_marked_or_none(refused, run, codes):
    refused("mark", codes[0], codes[1], unused(codes), "--as", "lost")
    assert state_of(run, codes[0]) == "nested"


def test_a_stranger_marks_nothing(refused, codes):
    assert "Nobody" in refused("mark", codes[0], "--as", "cut", "--by", "Nobody")


def test_a_mark_names_who_made_it(run, codes):
    run("mark", codes[0], "--as", "cut", "--by", "owner")
    last = run("show", codes[0], "--json").json["history"][-1]
    assert (last["by"], last["what"]) == ("Owner", "marked pieces")


def test_an_unknown_mark_is_a_mistake_of_the_command(run, codes, capsys):
    with pytest.raises(SystemExit) as stop:
        run("mark", codes[0], "--as", "eaten")
    assert stop.value.code == 2 and "eaten" in capsys.readouterr().err


# Show. ----------------------------------------------------------------------------------------------------------------


def test_show_prints_the_shape_of_intake_with_the_states(run, job):
    shown = run("show", "J-1001", "--json").json
    told = {name: value for name, value in job.items() if name != "warnings"}
    assert shown == told


@pytest.mark.parametrize("name", ["J-1001", "j1001"])
def test_a_job_is_found_as_people_write_it(run, job, name):
    assert run("show", name, "--json").json["job"] == "J-1001"


def test_each_kind_of_thing_is_shown_by_its_name_and_by_its_code(run, job):
    (sign,), sheet = job["signs"], job["sheets"][0]
    for thing in (["J-1001", "A"], ["J-1001 A"], [sign["code"]]):
        assert run("show", *thing, "--json").json == sign
    for thing in (sheet["number"], sheet["code"]):
        assert run("show", thing, "--json").json == sheet
    piece = run("show", sign["parts"][2]["piece"], "--json").json
    assert (piece["sign"], piece["stock"], piece["state"]) == (sign["code"], "cream-6", "nested")
    assert "O" in piece["place"]


def test_the_open_jobs_are_shown_where_nothing_is_named(run, job):
    (line,) = run("show", "--json").json["jobs"]
    assert line == {
        "number": "J-1001",
        "customer": "Harbour Office",
        "title": "sign",
        "due": "2027-03-31",
    }
    assert "J-1001" in run("show").out


@pytest.mark.parametrize("thing", ["J-9999", "J-1001 Z", "S-999", "hello", "1234"])
def test_what_is_not_there_is_said_in_one_line(refused, job, thing):
    refused("show", thing)


def test_nothing_is_shown_of_a_database_that_is_not_there(refused, shop_file):
    assert "no database" in refused("show")


# Labels. --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("thing", "places"), [("J-1001", {0, 1, 2, 3}), ("S-202", {1, 2, 3}), ("one piece", {2})]
)
def test_labels_are_written_that_a_scanner_reads(run, codes, tmp_path, thing, places):
    out = tmp_path / "labels.pdf"
    said = run("labels", codes[2] if thing == "one piece" else thing, "-o", out)
    assert (said.status, said.err) == (0, "")
    assert said.out.startswith(f"{len(places)} label")
    page = pypdfium2.PdfDocument(out)[0].render(scale=203 / 72).to_pil()
    read = {symbol.text.rsplit("/", 1)[-1] for symbol in zxingcpp.read_barcodes(page)}
    assert read == {codes[place] for place in places}


def test_labels_for_nothing_write_no_file(refused, job, tmp_path):
    refused("labels", "J-9999", "-o", tmp_path / "labels.pdf")
    refused("labels", "J-1001", "-o", tmp_path / "labels.pdf", "--layout", "stickers")
    assert not (tmp_path / "labels.pdf").exists()


def test_labels_into_a_folder_that_is_not_there_are_refused(refused, job, tmp_path):
    assert "nowhere" in refused("labels", "J-1001", "-o", tmp_path / "nowhere" / "labels.pdf")
