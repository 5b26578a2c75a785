"""About: the version, and what changed for the people who use it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

from flask import Blueprint, Response

from ... import __version__
from ...wording import office as wording
from ..page import show

pages = Blueprint("about", __name__)


@dataclass(frozen=True)
class Release:
    """One version and its changes, a sentence each."""

    title: str
    changes: tuple[str, ...]


@pages.get("/office/about")
def about() -> Response:
    """Which version this is, and what changed."""
    view = {"version": __version__, "releases": releases()}
    return show("office/about.html", view, title=wording.page_title("about"), here="Office")


@cache
def releases() -> tuple[Release, ...]:
    """The releases in CHANGES.md, which is kept to headings and lists."""
    words = (resources.files("shopfloor") / "CHANGES.md").read_text("utf-8")
    sections = re.split(r"^## ", words, flags=re.MULTILINE)[1:]
    return tuple(_release(section) for section in sections)


def _release(section: str) -> Release:
    title, _, rest = section.partition("\n")
    items = re.findall(r"^- (.+(?:\n  .+)*)", rest, flags=re.MULTILINE)
    return Release(title, tuple(re.sub(r"[*`]", "", " ".join(item.split())) for item in items))
