"""The shop's templates without a server, in an environment as strict as the server's."""

from __future__ import annotations

from pathlib import Path

import jinja2

from shopfloor.wording import pieces
from shopfloor.wording.message import gettext, ngettext

TEMPLATES = Path(__file__).resolve().parents[1] / "templates"


def environment() -> jinja2.Environment:
    """Messages are written in English and millimetres."""
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(TEMPLATES),
        undefined=jinja2.StrictUndefined,
        autoescape=True,
        extensions=["jinja2.ext.i18n"],
    )
    made.install_gettext_callables(gettext, ngettext, newstyle=True)
    made.filters["state_word"] = pieces.state
    return made
