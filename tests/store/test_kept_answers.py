"""Answers as the ledger keeps them: read by name in any process, and their first sentence alone."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from shopfloor.wording import pieces, recuts
from shopfloor.wording.message import as_dict, first_sentence, joined, of_dict, plain


def test_an_answer_is_readable_where_nobody_imported_its_words():
    kept = json.dumps(as_dict(recuts.print_labels()))
    program = (
        "import json, sys\n"
        "from shopfloor.wording.message import of_dict, text\n"
        "assert 'shopfloor.wording.recuts' not in sys.modules\n"
        "print(text(of_dict(json.loads(sys.argv[1]))))"
    )
    run = subprocess.run(
        [sys.executable, "-c", program, kept], capture_output=True, text=True, check=True
    )
    assert run.stdout == "Print their new labels.\n"


def test_an_answer_comes_back_with_the_messages_inside_it():
    marked = joined(
        [
            pieces.gone_with_recut(pieces.part_of_sign("A", "J-1001 A"), "lost", "40729153"),
            pieces.redo(["set out level 1", "glue level 1"]),
        ]
    )
    assert of_dict(json.loads(json.dumps(as_dict(marked)))) == marked
    assert str(marked) == (
        "'A' of J-1001 A is lost. Its recut 4072 9153 is queued with tabs. "
        "Steps to redo with it: set out level 1 and glue level 1."
    )


@pytest.mark.parametrize(
    ("message", "first"),
    [
        (pieces.nothing_to_do(), "Nothing to do."),
        (joined(["One. More of it.", "Two.", "Three."]), "One."),
        (
            joined([pieces.already_lost("40729153"), "Two."]),
            "Already lost. Its recut is 4072 9153.",
        ),
        (
            plain("J-1001 is taken in: 2 signs. A new stock was made."),
            "J-1001 is taken in: 2 signs.",
        ),
    ],
)
def test_the_first_sentence_of_an_answer(message, first):
    assert str(first_sentence(message)) == first
