"""Makes the web application: all wiring, and nothing else."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from flask import Flask
from jinja2 import StrictUndefined

from .actions import people as people_actions
from .actions.unit_of_work import Shop, utc_now
from .domain import codes
from .store.db import Database
from .web import compression, errors, page, security, sign_in
from .web.bench import (
    bench,
    climate,
    finishing,
    fixings,
    full_size,
    gluing,
    picking,
    setting_out,
    timers,
    trays,
)
from .web.jobs import floor, intake, jobs, revisions
from .web.office import (
    about,
    cements,
    cutters,
    hold_down_record,
    office,
    stock,
    stock_cutting,
    stock_expansion,
)
from .web.pieces import labels, pieces, scan
from .web.sheets import abandon, holding, nests, recuts, setup_sheets, sheets
from .wording import formatting, safety
from .wording import pieces as piece_wording
from .wording.message import gettext, ngettext, write_for

# Each page's blueprint; a new one is added here.
BLUEPRINTS = [
    sign_in.pages,
    floor.pages,
    scan.pages,
    pieces.pages,
    labels.pages,
    bench.pages,
    setting_out.pages,
    gluing.pages,
    finishing.pages,
    trays.pages,
    picking.pages,
    full_size.pages,
    sheets.pages,
    abandon.pages,
    holding.pages,
    setup_sheets.pages,
    nests.pages,
    recuts.pages,
    jobs.pages,
    intake.pages,
    revisions.pages,
    stock.pages,
    stock_cutting.pages,
    stock_expansion.pages,
    fixings.pages,
    office.pages,
    about.pages,
    cements.pages,
    climate.pages,
    timers.pages,
    cutters.pages,
    hold_down_record.pages,
]


def create_app(
    database: Database,
    *,
    clock: Callable[[], datetime] = utc_now,
    dice: Callable[[int], int] = secrets.randbelow,
    testing: bool = False,
    address: str | None = None,
    pin_hash: str = people_actions.HASH,
) -> Flask:
    """Make the application over one shop's database; a new one gets its first owner.

    `address` (host:port) is on labels until the shop sets its own; `pin_hash` is werkzeug's name of the hash method.
    """
    app = Flask(
        "shopfloor", template_folder=str(_folder("templates")), static_folder=str(_folder("static"))
    )
    app.config.update(TESTING=testing, ADDRESS=address, PIN_HASH=pin_hash)
    app.extensions["shop"] = Shop(database, clock, dice)
    people_actions.first_owner(app.extensions["shop"])
    security.init_app(app)
    sign_in.load_user(app)
    errors.register_error_handlers(app)
    compression.init_app(app)
    register_filters(app)
    for blueprint in BLUEPRINTS:
        app.register_blueprint(blueprint)
    return app


def _folder(name: str) -> Path:
    """Return where templates or static files are: beside this file in a wheel, one folder up in a checkout."""
    here = Path(__file__).resolve().parent
    return here / name if (here / name).is_dir() else here.parent / name


def register_filters(app: Flask) -> None:
    """Set the filters and globals of the templates, and messages and marked text."""

    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]  # comes with the extension
        gettext, ngettext, newstyle=True
    )
    write_for(page.reader)
    app.jinja_env.filters.update(
        day=page.zoned(formatting.day),
        moment=page.zoned(formatting.moment),
        clock=page.zoned(formatting.clock),
        code=codes.show,
        measure=page.measure,
        counted=formatting.counted,
        state_word=piece_wording.state,
        cause_word=piece_wording.cause,
    )
    app.jinja_env.globals.update(
        key_field=page.key_field,
        timers=timers.strip,
        caution=safety.caution,
        holds=page.holds,
        version=page.version,
    )
