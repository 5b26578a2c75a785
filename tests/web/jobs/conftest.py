"""Small drawings, and a tablet that takes them in through the pages."""

from __future__ import annotations

import io
import re
import time
from urllib.parse import urlsplit

import pytest

from shopfloor.store import ledger

RED, CREAM = "#8c2f39", "#f2e8cf"
BOARD = f'<rect width="400" height="200" fill="{RED}"/><rect x="30" y="50" width="60" height="90" fill="{CREAM}"/>'
SECOND = '<g transform="translate(500 0)">' + BOARD + "</g>"


def svg(inside: str, width: int = 900, height: int = 200) -> bytes:
    """A drawing at full size, a millimetre a unit."""
    size = f'width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{inside}</svg>'.encode()


def bars(count: int) -> bytes:
    """A board with so many bars of seven widths."""
    some = "".join(
        f'<rect x="{20 + 50 * (n % 40)}" y="{20 + 60 * (n // 40)}" width="{20 + n % 7}" height="40" fill="{CREAM}"/>'
        for n in range(count)
    )
    return svg(f'<rect width="2100" height="700" fill="{RED}"/>{some}', 2100, 700)


ONE_SIGN, TWO_SIGNS = svg(BOARD), svg(BOARD + SECOND)


class Tablet:
    """Somebody at the pages of intake."""

    def __init__(self, client):
        self.client = client

    def send(self, drawing: bytes, name: str = "door sign.svg", **headers):
        """Uploads a drawing and gives the answer."""
        form = {"key": f"upload {name} {len(drawing)}", "drawing": (io.BytesIO(drawing), name)}
        return self.client.post("/jobs/new", data=form, headers=headers)

    def proposal(self, drawing: bytes = ONE_SIGN, name: str = "door sign.svg") -> str:
        """The path of a drawing's proposal."""
        answer = self.send(drawing, name)
        assert answer.status_code == 303, answer.get_data(as_text=True)
        return urlsplit(answer.location).path

    def page(self, path: str, **query):
        """A proposal with such answers in its query; gives its markup."""
        answer = self.client.get(path, query_string=query, headers={"HX-Request": "true"})
        assert answer.status_code == 200, answer.get_data(as_text=True)
        return answer.get_data(as_text=True)

    def follow(self, path: str, words: str, **query) -> str:
        """Taps the first answer that says so; gives the query that it leads to."""
        links = re.findall(
            r'<a class="[^"]*"[^>]*href="([^"]+)"[^>]*>(.*?)</a>', self.page(path, **query), re.S
        )
        for href, inside in links:
            if words in " ".join(re.sub("<[^>]+>", " ", inside).split()):
                return urlsplit(href.replace("&amp;", "&")).query
        raise AssertionError(f"no answer says {words}")

    def order(self, path: str, key: str = "order", **changed):
        """Confirms with what the tiles would send; `changed` fields are put in place, None leaves one out."""
        form = {
            "key": key,
            "customer": "Harbour Office",
            "title": "Door sign",
            "quantity": "1",
            "when": "2026-12-02",
            "due": "",
            "stock-8c2f39": "new",
            "stock-f2e8cf": "new",
            **changed,
        }
        return self.client.post(
            path, data={name: value for name, value in form.items() if value is not None}
        )

    def job(self, answer) -> str:
        """Waits for the end of an intake under way and gives its job's path."""
        assert answer.status_code == 303, answer.get_data(as_text=True)
        for _ in range(600):
            seen = self.client.get(answer.location)
            if seen.status_code == 303:
                return urlsplit(seen.location).path
            assert "refused" not in seen.get_data(as_text=True), seen.get_data(as_text=True)
            time.sleep(0.02)
        raise AssertionError("the intake did not end")

    def take_in(self, drawing: bytes = ONE_SIGN, **order) -> str:
        """From the drawing to the job's path."""
        return self.job(self.order(self.proposal(drawing), **order))


@pytest.fixture(autouse=True)
def _readings(read_once):
    """Every test here reads a drawing, few another one."""


@pytest.fixture
def tablet(as_operator):
    return Tablet(as_operator)


@pytest.fixture
def whole(shop):
    """What the database holds: the newest act, and the rows of each table of the state and of `drawing`."""

    def count() -> dict[str, int]:
        db = shop.read()
        tables = [*ledger.state_tables(db), "drawing"]
        return {"acts": ledger.newest(db)} | {
            t: db.execute(f"SELECT count(*) FROM {t}").fetchone()[0] for t in tables
        }

    return count
