"""A job, a sign, a sheet or a piece as the command line shows it: plain dicts, the shape of `--json`. Reads only."""

from __future__ import annotations

import json
from sqlite3 import Connection
from typing import Any

from ..wording.message import of_dict, text
from . import bench, holding, jobs, ledger, pieces, sheets, stock, trays
from .jobs import Job, Sign
from .sql import read_all

Shown = dict[str, Any]


def job_shown(db: Connection, job: Job) -> Shown:
    """A whole job: its signs with their parts, the sheets that its pieces are on, its steps."""
    signs = jobs.signs_of_job(db, job.id)
    return {
        "job": job.number,
        "customer": job.customer,
        "title": job.title,
        "due": job.due,
        "state": job.state,
        "signs": [sign_shown(db, sign) for sign in signs],
        "sheets": [sheet_shown(db, row) for row in sheets.rows_of_job(db, job.id)],
        "steps": [step for sign in signs for step in steps_shown(db, sign)],
    }


def sign_shown(db: Connection, sign: Sign) -> Shown:
    """A sign and its parts. Lengths mm, areas mm²."""
    stocks = {s.id: s.code for s in stock.all_stocks(db)}
    return {
        "code": sign.code,
        "name": sign.name,
        "called": sign.called,
        "state": sign.state,
        "width_mm": sign.width_mm,
        "height_mm": sign.height_mm,
        "levels": sign.levels,
        "parts": [part_shown(sign, part, stocks) for part in jobs.parts_of(db, sign.id)],
    }


def part_shown(sign: Sign, part: jobs.Part, stocks: dict[int, str]) -> Shown:
    """A part at its place, with its live piece and that one's state."""
    return {
        "code": f"{sign.called} {part.number}",
        "name": part.name,
        "colour": part.colour,
        "stock": stocks[part.stock],
        "level": part.level,
        "x_mm": part.x_mm,
        "y_mm": part.y_mm,
        "area_mm2": part.area_mm2,
        "width_mm": part.width_mm,
        "height_mm": part.height_mm,
        "family": part.family,
        "piece": part.code,
        "state": part.state,
        "attempt": part.attempt,
        "sheet": part.sheet,
    }


def sheet_shown(db: Connection, row: sheets.SheetRow) -> Shown:
    """A sheet and the pieces on it, each with its hold-down (None: not worked out) and the chance that it is lost."""
    held, run = holding.of_nest(db, row.nest), holding.run_of(db, row.nest)
    return {
        "code": row.code,
        "number": row.number,
        "stock": stock.stock(db, row.stock).code,
        "state": row.state,
        "length_mm": row.length_mm,
        "width_mm": row.width_mm,
        "along": row.along,
        "used_mm": row.used_mm,
        "yield": row.yield_share,
        "other_yield": row.other_yield_share,
        "path_min": run and run.path_min,
        "pieces": [
            {
                "code": piece.code,
                "state": piece.state,
                "x_mm": piece.x_mm,
                "y_mm": piece.y_mm,
                "turn": piece.turn,
                **_held_shown(held.get(piece.piece)),
            }
            for piece in sheets.on_sheet(db, row.id)
            if piece.is_here
        ],
    }


def _held_shown(held: holding.Held | None) -> Shown:
    if held is None:
        return {"held_by": None}
    return {
        "held_by": held.hold_down,
        "advised": held.advised,
        "verdict": held.verdict,
        "margin": held.safety_factor,
        "chance": held.chance,
        "tabs": len(held.tabs),
    }


def steps_shown(db: Connection, sign: Sign) -> list[Shown]:
    """The steps of a sign in their order."""
    return [
        {
            "sign": sign.code,
            "kind": step.kind,
            "title": str(step.called),
            "level": step.level,
            "done_at": step.done_at and step.done_at.isoformat(),
            "parts": len(step.parts),
        }
        for step in bench.steps_of(db, sign.id)
    ]


def piece_shown(db: Connection, code: str) -> Shown:
    """A piece, where it goes, and its history."""
    piece = pieces.by_code(db, code)
    place = jobs.place_of(db, piece.last_part) if piece.last_part else None
    return {
        "code": piece.code,
        "state": piece.state,
        "attempt": piece.attempt,
        "tabs": piece.tabs,
        "cause": piece.cause,
        "stock": stock.stock(db, piece.stock).code,
        "sheet": sheets.sheet(db, piece.sheet).number if piece.sheet else None,
        "sign": place.sign.code if place and piece.part else None,
        "place": str(place.words) if place and piece.part else None,
        "history": [
            {
                "at": row["at"],
                "by": row["by_name"],
                "what": row["what"],
                "told": text(of_dict(json.loads(row["answer"]))),
                "is_undone": row["undone_by"] is not None,
            }
            for row in ledger.acts_on(db, "piece", piece.id)
        ],
    }


def blank_shown(db: Connection, code: str) -> Shown:
    """A full sheet or offcut in the rack."""
    blank = stock.blank_by_code(db, code)
    return {
        "code": blank.code,
        "stock": stock.stock(db, blank.stock).code,
        "length_mm": blank.length_mm,
        "width_mm": blank.width_mm,
        "is_offcut": bool(blank.is_offcut),
        "state": blank.state,
    }


def tray_shown(db: Connection, code: str) -> Shown:
    """A tray, bag, shelf or rack with the codes of the pieces in it, and in what is in it."""
    tray = trays.by_code(db, code)
    return {
        "code": tray.code,
        "kind": tray.kind,
        "name": tray.name,
        "pieces": [lying.code for lying in trays.lying_in(db, tray.id)],
    }


def open_jobs_shown(db: Connection) -> list[Shown]:
    """The open jobs by due date, one line each."""
    sql = "SELECT number, customer, title, due FROM job WHERE state = 'open' ORDER BY due, id"
    return read_all(db, dict, sql)
