"""The command line as a person has it: words in, two streams and an exit code out."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from shopfloor import cli

ROOT = Path(__file__).resolve().parents[2]

# A red board with three cream letters and a hole in one: at full size, all in millimetres.
SIGN = """<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="150mm" viewBox="0 0 400 150">
<rect x="0" y="0" width="400" height="150" fill="#8c2f39"/>
<path d="M 40 30 h 20 v 90 h -20 z" fill="#f2e8cf"><title>I</title></path>
<path id="O" fill-rule="evenodd" d="M 100 30 h 80 v 90 h -80 z M 120 50 v 50 h 40 v -50 z" fill="#f2e8cf"/>
<rect x="220" y="30" width="20" height="90" fill="#f2e8cf"/>
</svg>"""
PLATE = """<svg xmlns="http://www.w3.org/2000/svg" width="4in" height="2in" viewBox="0 0 4 2">
<rect x="0" y="0" width="4" height="2" fill="#33658a"/></svg>"""


class Said(NamedTuple):
    """What one run of the command said."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> dict:
        """The one JSON object that it printed."""
        return json.loads(self.out)


@pytest.fixture(autouse=True)
def _at_once(read_once, plain_nests):
    """Each drawing is read once and nests are laid out on plain shelves; `taken_in` has both as they are."""


@pytest.fixture
def shop_file(tmp_path):
    """The path of a database that is not there yet."""
    return tmp_path / "shop.db"


@pytest.fixture
def run(shop_file, capsys):
    """Runs a verb on that database."""

    def run(verb: str, *words: object) -> Said:
        capsys.readouterr()
        status = cli.main([verb, *map(str, words), "--db", str(shop_file)])
        return Said(status, *capsys.readouterr())

    return run


@pytest.fixture
def refused(run, shop_file):
    """Runs a verb that must be refused: one line, exit code 2, each row of the database as it was. Gives the line."""

    def refused(verb: str, *words: object) -> str:
        before = everything(shop_file)
        said = run(verb, *words)
        assert (said.status, said.out) == (2, "")
        assert said.err.endswith("\n") and said.err.count("\n") == 1, said.err
        assert everything(shop_file) == before
        return said.err.rstrip()

    return refused


def everything(path: Path) -> dict[str, list[tuple]] | None:
    """Each row of each table; None where there is no file."""
    if not path.exists():
        return None
    db = sqlite3.connect(path)
    tables = [
        row[0]
        for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
    ]
    rows = {table: db.execute(f"SELECT * FROM {table}").fetchall() for table in tables}
    db.close()
    return rows


@pytest.fixture
def drawing(tmp_path):
    """Writes a drawing, the sign or 'plate' or a text of SVG, and gives its path."""

    def write(text: str = SIGN, name: str = "sign.svg") -> Path:
        (tmp_path / name).write_text(PLATE if text == "plate" else text)
        return tmp_path / name

    return write


@pytest.fixture(scope="session")
def taken_in(tmp_path_factory):
    """One sign taken in by the command in a process of its own: the database's file, and what `--json` said."""
    folder = tmp_path_factory.mktemp("taken-in")
    (folder / "sign.svg").write_text(SIGN)
    words = [
        "intake",
        "sign.svg",
        "--customer",
        "Harbour Office",
        "--due",
        "2027-03-31",
        "--seconds",
        "0.3",
        "--json",
    ]
    said = subprocess.run(
        [sys.executable, "-m", "shopfloor.cli", *words, "--db", "shop.db"],
        cwd=folder,
        check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    assert (said.returncode, said.stderr) == (0, "")
    return folder / "shop.db", json.loads(said.stdout)


@pytest.fixture
def job(taken_in, shop_file):
    """A shop with one sign in it, as `intake --json` told it."""
    made, told = taken_in
    shutil.copy(made, shop_file)
    return told


@pytest.fixture
def codes(job):
    """The codes of the four pieces: the board, I, O and the plain bar."""
    return [part["piece"] for part in job["signs"][0]["parts"]]
