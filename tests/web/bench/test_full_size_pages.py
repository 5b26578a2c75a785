"""The page of a sign's templates, its PDFs, and `shopfloor paper`. Sizes are read from the PDF by pypdfium2."""

from __future__ import annotations

import html
import re

import pypdfium2
import pytest
from shop_for_tests import words

from shopfloor import cli
from shopfloor.actions import settings as setting_acts
from shopfloor.actions.unit_of_work import Caller


def prints(answer) -> list[str]:
    return [
        html.unescape(href) for href in re.findall(r'class="print" href="([^"]+)"', answer.text)
    ]


def pages_of(answer):
    assert (answer.status_code, answer.content_type) == (200, "application/pdf")
    return pypdfium2.PdfDocument(answer.data)


def text_in(document) -> str:
    return " ".join(page.get_textpage().get_text_bounded() for page in document)


def test_the_page_offers_each_kind_and_says_what_it_comes_to(as_assembler, small_job):
    page = as_assembler.get(f"/bench/{small_job['A']}/paper")
    shown = words(page)
    assert "J-1001 A: templates" in shown
    for expected in ("Tape strip", "Placement template", "Level 1", "sheets and a cover", "100 mm"):
        assert expected in shown
    assert "No fixings are planned for J-1001 A" in shown
    assert len(prints(page)) == 2


def test_what_the_page_promises_is_what_the_pdf_has(as_assembler, small_job):
    for paper in ("a4", "letter", "long"):
        page = as_assembler.get(f"/bench/{small_job['A']}/paper?paper={paper}")
        promised = re.findall(r'comes-to">(\d+) (sheet|page)', page.text)
        for href, (count, kind) in zip(prints(page), promised, strict=True):
            document = pages_of(as_assembler.get(href))
            assert len(document) == int(count) + (kind == "sheet")


def test_a_pdf_comes_on_the_paper_asked_for(as_assembler, small_job):
    for paper, sides in (
        ("a4", {595, 842}),
        ("letter", {612, 792}),
    ):  # points: ISO 216; 8.5 × 11 in
        document = pages_of(
            as_assembler.get(f"/bench/{small_job['A']}/paper/template.pdf?paper={paper}")
        )
        assert all({round(side) for side in page.get_size()} == sides for page in document)


def test_paper_and_datum_are_remembered_on_the_tablet(as_assembler, small_job):
    at = f"/bench/{small_job['A']}/paper"
    assert 'aria-current="true">A4 sheets' in as_assembler.get(at).text
    as_assembler.get(f"{at}?paper=long&datum=centre line")
    again = as_assembler.get(at).text
    assert (
        'aria-current="true">One long page' in again and 'aria-current="true">Centre line' in again
    )
    document = pages_of(as_assembler.get(f"{at}/strip.pdf"))
    assert len(document) == 1 and "0 = centre line of the sign" in text_in(document)


def chosen_datum(page) -> str:
    return re.findall(r'aria-current="true">(Left edge|Centre line)', page.text)[0]


def test_figures_run_from_the_datum_of_the_bench_until_another_is_chosen_for_paper(
    as_assembler, small_job
):
    at = f"/bench/{small_job['A']}/paper"
    as_assembler.set_cookie("shopfloor_datum", "centre-line")
    assert chosen_datum(as_assembler.get(f"{at}?paper=letter")) == "Centre line"
    assert "centre line of the sign" in text_in(pages_of(as_assembler.get(f"{at}/strip.pdf")))
    as_assembler.set_cookie("shopfloor_datum", "left-edge")
    assert chosen_datum(as_assembler.get(at)) == "Left edge", "choosing a paper chooses no datum"
    page = as_assembler.get(f"{at}?datum=centre line")
    assert chosen_datum(page) == "Centre line" and "measures from: Left edge" in words(page)
    assert as_assembler.get_cookie("shopfloor_datum").value == "left-edge", (
        "the bench keeps its own"
    )
    assert chosen_datum(as_assembler.get(at)) == "Centre line"


def test_the_page_shows_the_mark_that_each_print_bears(as_assembler, small_job):
    page = as_assembler.get(f"/bench/{small_job['A']}/paper")
    marks = re.findall(r"mark ([0-9a-f]{4})<", page.text)
    assert len(marks) == 2 == len(set(marks))
    for href, mark in zip(prints(page), marks, strict=True):
        assert f"mark {mark}, printed 20" in text_in(pages_of(as_assembler.get(href)))


def test_each_kind_can_be_led_to_and_without_fixings_drilling_leads_to_their_plan(
    as_assembler, small_job
):
    page = as_assembler.get(f"/bench/{small_job['A']}/paper").text
    assert re.findall(r'<h2 id="(\w+)">', page) == ["strip", "template", "drilling"]
    assert (
        f'href="/bench/{small_job["A"]}/materials"'
        in page[page.index('id="drilling"') :].split("</a>")[0]
    )


def test_a_pdf_is_named_by_what_it_is(as_assembler, small_job):
    at = f"/bench/{small_job['A']}/paper/strip.pdf?paper=letter&datum=centre line&level=1"
    assert (
        'filename="J-1001-A-strip-level-1-letter-centre.pdf"'
        in as_assembler.get(at).headers["Content-Disposition"]
    )


def test_a_cookie_of_nobodys_making_is_passed_over(as_assembler, small_job):
    as_assembler.set_cookie("shopfloor_full_size", "papyrus.9")
    assert (
        'aria-current="true">A4 sheets' in as_assembler.get(f"/bench/{small_job['A']}/paper").text
    )


def test_the_strip_has_the_letters_of_the_sign_at_their_places(as_assembler, small_job):
    """L is drawn from 20 to 60 mm, O from 100 to 160 (the fixture small_job)."""
    shown = text_in(
        pages_of(as_assembler.get(f"/bench/{small_job['A']}/paper/strip.pdf?paper=long"))
    )
    for figure in (
        "left 20",
        "centre 40",
        "right 60",
        "left 100",
        "centre 130",
        "right 160",
        "baseline 50 mm",
    ):
        assert figure in shown


def test_figures_are_in_the_units_and_fractions_of_the_shop(shop, owner, as_assembler, small_job):
    setting_acts.change_settings(Caller(shop, owner), {"units": "in", "inch_fraction": "32"})
    at = f"/bench/{small_job['A']}/paper"
    shown = text_in(pages_of(as_assembler.get(f"{at}/strip.pdf?paper=long")))
    assert "left 25/32" in shown and "4 in" in shown  # 20 mm = 0.787 in = 25.2/32
    assert "a line of 4 in" in words(as_assembler.get(at))


REFUSED = [
    ("paper?paper=papyrus", 422, "not on “papyrus”"),
    ("paper?datum=moon", 422, "left edge or the centre line"),
    ("paper/strip.pdf?level=7", 422, "no part on level 7"),
    ("paper/strip.pdf?level=up", 422, "A level is a whole number"),
    ("paper/drilling.pdf", 422, "No fixings are planned"),
    ("paper/kite.pdf", 404, "Template not found"),
]


def test_what_cannot_be_is_refused_in_a_sentence_and_forgotten(as_assembler, small_job):
    for path, status, says in REFUSED:
        answer = as_assembler.get(f"/bench/{small_job['A']}/{path}")
        assert answer.status_code == status and says in words(answer), path
        assert as_assembler.get_cookie("shopfloor_full_size") is None
    assert as_assembler.get("/bench/40729153/paper").status_code == 404


def test_nobody_who_is_not_signed_in_sees_it(client, small_job):
    assert client.get(f"/bench/{small_job['A']}/paper").status_code == 303


# The command. ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def run(shop, small_job, capsys):
    """Runs `shopfloor paper` on that shop; gives (exit code, standard output, standard error)."""
    path = shop.read().execute("PRAGMA database_list").fetchone()[2]

    def run(*more) -> tuple[int, str, str]:
        capsys.readouterr()
        return cli.main(["paper", *map(str, more), "--db", path]), *capsys.readouterr()

    return run


def test_the_verb_writes_the_paper_however_the_sign_is_named(run, small_job, tmp_path):
    out = tmp_path / "strip.pdf"
    for sign in (["J-1001", "A"], ["J-1001 A"], ["j1001-a"], [small_job["A"]]):
        status, output, error = run(
            *sign, "--what", "strip", "-o", out, "--paper", "long", "--datum", "centre line"
        )
        assert (status, error) == (0, "") and "Tape strip of J-1001 A is in" in output
    assert "left -180" in text_in(
        pypdfium2.PdfDocument(out)
    )  # 20 mm from the left edge of a board of 400 mm


REFUSED_VERBS = [
    (["J-1001", "A", "--what", "kite"], "There is no template called"),
    (["J-1001", "A", "--paper", "a5"], "not on “a5”"),
    (["J-1001", "Z"], "Sign not found"),
    (["J-1001", "A", "--what", "drilling"], "No fixings are planned"),
    (["J-1001", "A", "--level", "9"], "no part on level 9"),
    (["soup"], ""),
]


def test_the_verb_refuses_in_one_line_and_writes_nothing(run, tmp_path):
    for named, says in REFUSED_VERBS:
        status, output, error = run(*named, "-o", tmp_path / "none.pdf")
        assert (status, output) == (2, "") and says in error and error.count("\n") == 1
        assert not (tmp_path / "none.pdf").exists()


def test_printing_changes_nothing_in_the_shop(shop, run, as_assembler, small_job, tmp_path):
    before = shop.read().execute("SELECT count(*) FROM ledger").fetchone()[0]
    run("J-1001", "A", "-o", tmp_path / "strip.pdf")
    as_assembler.get(f"/bench/{small_job['A']}/paper/template.pdf")
    assert shop.read().execute("SELECT count(*) FROM ledger").fetchone()[0] == before
