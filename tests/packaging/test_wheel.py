"""The wheel: installed into a clean environment, far from the checkout, it runs the demo by itself.

Building it and its environment takes some twenty seconds; both are made once.
"""

from __future__ import annotations

import http.client
import os
import re
import signal
import subprocess
import sys
import tomllib
import venv
import zipfile
from email.parser import Parser
from pathlib import Path
from urllib.parse import urlencode

import pytest

ROOT = Path(__file__).resolve().parents[2]
# What might lead a process of the clean environment back to the checkout, or to this environment, is taken away.
CLEAN = {
    name: value
    for name, value in os.environ.items()
    if not name.startswith(("PYTHON", "VIRTUAL_ENV", "COV_"))
}


def run(*words: object, cwd: Path) -> str:
    """Runs a command; gives what it said. Fails with its words where it fails."""
    done = subprocess.run(
        list(map(str, words)),
        check=False,
        cwd=cwd,
        env=CLEAN,
        stdin=subprocess.DEVNULL,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=600,
    )
    assert done.returncode == 0, done.stdout
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("packaging")


@pytest.fixture(scope="module")
def wheel(folder):
    run(sys.executable, "-m", "build", "--wheel", "--outdir", folder / "dist", ROOT, cwd=folder)
    (made,) = (folder / "dist").iterdir()
    return made


@pytest.fixture(scope="module")
def environment(folder, wheel):
    """The bin folder of a new environment with the wheel and what it asks for."""
    venv.create(folder / "env")
    bin = folder / "env" / "bin"
    pip = [sys.executable, "-m", "pip", "--python", bin / "python", "--disable-pip-version-check"]
    run(*pip, "install", "--quiet", "--no-compile", wheel, cwd=folder)  # most is never imported
    return bin


def is_for_makers(path: Path) -> bool:
    """True for what measures the project and draws the demo's signs: it stays in the source copy."""
    return "measuring" in path.parts or path.name == "draw.py"


def shipped() -> dict[str, Path]:
    """Each file that the program needs: its name in the wheel, and where it is in the checkout."""
    found = {}
    for top, inside in (("shopfloor", ""), ("templates", "shopfloor/"), ("static", "shopfloor/")):
        for path in (ROOT / top).rglob("*"):
            if path.is_file() and "__pycache__" not in path.parts and not is_for_makers(path):
                found[inside + path.relative_to(ROOT).as_posix()] = path
    return found


def test_every_file_of_the_program_is_in_the_wheel_as_it_is(wheel):
    expected = shipped()
    with zipfile.ZipFile(wheel) as archive:
        inside = {name for name in archive.namelist() if ".dist-info/" not in name}
        assert inside == set(expected)
        changed = [
            name for name, path in expected.items() if archive.read(name) != path.read_bytes()
        ]
    assert changed == []


@pytest.mark.parametrize(
    "kind",
    [
        "templates/base.html",
        "templates/jobs/floor/floor.html",
        "static/shopfloor.css",
        "store/migrations/0001_initial.sql",
        "demo/made.json",
        "demo/drawings/bakery.svg",
        "paper/fonts/DejaVuSans.ttf",
    ],
)
def test_what_is_no_code_is_in_the_wheel_too(wheel, kind):
    with zipfile.ZipFile(wheel) as archive:
        assert f"shopfloor/{kind}" in archive.namelist()


def test_the_wheel_asks_for_what_pyproject_names(wheel):
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    with zipfile.ZipFile(wheel) as archive:
        (name,) = [name for name in archive.namelist() if name.endswith(".dist-info/METADATA")]
        told = Parser().parsestr(archive.read(name).decode())
    needed = [line for line in told.get_all("Requires-Dist") if "extra ==" not in line]
    assert sorted(needed) == sorted(project["dependencies"])
    assert told["Requires-Python"] == project["requires-python"]


def test_the_installed_package_is_not_the_checkout(environment, folder):
    where = run(
        environment / "python", "-c", "import shopfloor; print(shopfloor.__file__)", cwd=folder
    ).strip()
    assert Path(where).is_relative_to(folder / "env")
    without = "import importlib.util as u; print([n for n in ('pytest', 'playwright', 'segno') if u.find_spec(n)])"
    assert run(environment / "python", "-c", without, cwd=folder).strip() == "[]", (
        "nothing of the tests is there"
    )


def test_the_installed_command_reads_a_drawing_nests_it_and_prints_labels(environment, folder):
    """The worker processes, the packing library and the fonts work from the wheel as well."""
    command, db = environment / "shopfloor", folder / "shop.db"
    drawing = ROOT / "shopfloor" / "demo" / "drawings" / "school.svg"
    told = run(
        command,
        "intake",
        drawing,
        "--customer",
        "School",
        "--due",
        "2027-03-31",
        "--seconds",
        "0.5",
        "--db",
        db,
        cwd=folder,
    )
    assert told.startswith("J-1001 is added: 1 sign, 13 pieces.")
    run(command, "labels", "J-1001", "-o", folder / "labels.pdf", "--db", db, cwd=folder)
    assert (folder / "labels.pdf").read_bytes().startswith(b"%PDF")
    assert "The ledger matches the database." in run(command, "check", "--db", db, cwd=folder)


def test_the_installed_command_says_that_measuring_needs_the_source_copy(environment, folder):
    done = subprocess.run(
        [environment / "shopfloor", "measure"],
        cwd=folder,
        env=CLEAN,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "`measure` needs the source copy of shopfloor: run it there.\n"


# The demo, from the wheel. --------------------------------------------------------------------------------------------


class Served:
    """A running demo: its process, its port, what it has printed."""

    def __init__(self, environment: Path, cwd: Path):
        self.process = subprocess.Popen(
            [str(environment / "shopfloor"), "demo", "--port", "0"],
            cwd=cwd,
            env=CLEAN | {"TMPDIR": str(cwd)},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.said = ""
        for line in self.process.stdout:
            self.said += line
            if found := re.search(r"http://127\.0\.0\.1:(\d+)/", line):
                self.port = int(found[1])
                return
        raise AssertionError(self.said)

    def ask(self, method: str, path: str, body: str | None = None, **headers: str):
        """The answer's status, headers and text."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        line.request(method, path, body, headers)
        answer = line.getresponse()
        text = answer.read()
        line.close()
        return answer.status, answer.headers, text


@pytest.fixture(scope="module")
def demo(environment, tmp_path_factory):
    served = Served(environment, tmp_path_factory.mktemp("elsewhere"))
    yield served
    served.process.kill()
    served.process.wait()
    served.process.stdout.close()


def test_the_demo_prints_its_address_and_its_people_with_their_pins(demo):
    told = re.findall(r"^ +(\w+) +PIN (\d{4})", demo.said, re.MULTILINE)
    assert told == [("Maud", "2580"), ("Ben", "1470"), ("Ana", "3690")]


def test_the_demo_asks_who_is_there_and_sends_its_static_files(demo):
    status, headers, _ = demo.ask("GET", "/")
    assert (status, headers["Location"].split("?")[0]) == (303, "/sign-in")
    status, _, page = demo.ask("GET", "/sign-in")
    assert status == 200 and b"Maud" in page
    linked = set(re.findall(r'(?:href|src)="(/static/[^"?#]+)', page.decode()))
    assert linked, "the page links its style sheet"
    for path in linked:
        status, _, sent = demo.ask("GET", path)
        assert (status, sent) == (200, (ROOT / path.lstrip("/")).read_bytes())


def test_somebody_signs_in_and_sees_the_floor(demo):
    _, _, page = demo.ask("GET", "/sign-in")
    person = re.search(
        r'href="(/sign-in/\d+)[^"]*"[^>]*>(?:(?!</a>).)*Maud', page.decode(), re.DOTALL
    )[1]
    status, headers, _ = demo.ask(
        "POST",
        person,
        urlencode({"pin": "2580"}),
        Origin=f"http://127.0.0.1:{demo.port}",
        **{"Content-Type": "application/x-www-form-urlencoded"},
    )
    assert status == 303
    cookies = "; ".join(cookie.split(";")[0] for cookie in headers.get_all("Set-Cookie"))
    status, _, page = demo.ask("GET", "/", Cookie=cookies)
    assert status == 200
    assert (
        "Pier Street Signs" in page.decode()
        and "Harbour Library" in page.decode()
        and b"<svg" in page
    )


def test_the_demo_stops_cleanly_when_it_is_told_to(demo):
    demo.process.send_signal(signal.SIGTERM)
    rest = demo.process.stdout.read()
    assert demo.process.wait(timeout=40) == 0
    assert "Traceback" not in rest
    database = Path(re.search(r"Its database: (\S+)", demo.said)[1])
    assert database.exists() and not database.with_name(database.name + "-wal").exists(), (
        "its log was written back"
    )
