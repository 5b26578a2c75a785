"""What the demo ships ready made: its drawings as read and its nests as laid out, by the real code.

`python -m shopfloor.demo.recording` makes them again (half a minute). A demo that starts from the tape reads no drawing and nests
nothing, so that it is there at once; a test makes one afresh and compares.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from importlib import resources
from pathlib import Path
from typing import Any

from ..actions import drawings, nests
from ..actions.holding import HeldLayout
from ..domain.drawing.drawing import Drawing
from ..domain.routing.nests import NestedSheet, Placed
from ..store.holding import Held, Run

MADE = "made.json"
HOLDS = ("cutter", "cutter_mm", "pump", "vacuum_inhg", "path_min")


class Tape:
    """The shipped readings and nests; with `is_recording` they are made and noted instead."""

    def __init__(self, is_recording: bool = False):
        self.is_recording = is_recording
        self.made: dict[str, Any] = {"readings": {}, "nests": {}}
        if not is_recording:
            self.made = json.loads((resources.files(__package__) / MADE).read_text("utf-8"))

    def reading(self, name: str) -> drawings.ReadDrawing:
        """A demo drawing, read."""
        data = (resources.files(__package__) / "drawings" / name).read_bytes()
        if self.is_recording:
            self.made["readings"][name] = _short(
                drawings.read_drawing(data, name).drawing.as_dict()
            )
        drawing = Drawing.of_dict(self.made["readings"][name])
        return drawings.ReadDrawing(hashlib.sha256(data).hexdigest(), name, data, drawing)

    def layouts(self, work: nests.Work) -> list[nests.Layout]:
        """The work, laid out, with how its pieces are held."""
        key = fingerprint(work)
        places = {item.key: place for place, item in enumerate(work.items)}
        if self.is_recording:
            made, _ = nests.solve(work)
            self.made["nests"][key] = [
                _kept(layout, places, work) for layout in nests.held(work, made)
            ]
        return [_read(kept, work) for kept in self.made["nests"][key]]

    def save(self, path: Path) -> None:
        """Writes what was recorded."""
        path.write_text(json.dumps(self.made, separators=(",", ":")), "utf-8")


def fingerprint(work: nests.Work) -> str:
    """The same for the same outlines in the same order, on the same stock under the same rules."""
    told = [
        [work.stock.length_mm, work.stock.width_mm, asdict(work.rules)],
        [[blank.length_mm, blank.width_mm] for blank in work.offcuts],
        [item.outline.as_lists() for item in work.items],
    ]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:24]


def _short(reading: dict[str, Any]) -> dict[str, Any]:
    short: dict[str, Any] = json.loads(json.dumps(reading))
    return short


def _kept(layout: nests.Layout, places: dict[str, int], work: nests.Work) -> dict[str, Any]:
    made, holds = layout.made, layout.holds
    if holds is None:
        raise ValueError("a recorded nest says how its pieces are held")
    return {
        "offcut": None if layout.offcut is None else work.offcuts.index(layout.offcut),
        "placed": [
            [places[put.key], round(put.x, 3), round(put.y, 3), put.turn] for put in made.placed
        ],
        "along": made.along,
        "used_mm": made.used_mm,
        "yield": made.yield_share,
        "other": made.other_yield_share,
        "holds": _holds_kept(
            holds, {str(piece.id): places[str(piece.id)] for piece in work.pieces}
        ),
    }


def _holds_kept(holds: HeldLayout, places: dict[str, int]) -> dict[str, Any]:
    held = [
        {**one.as_row(), "piece": places[str(one.piece)], "tabs": one.tabs} for one in holds.held
    ]
    return {**{name: getattr(holds.run, name) for name in HOLDS}, "held": held}


def _holds_read(kept: dict[str, Any], work: nests.Work) -> HeldLayout:
    held = (
        Held.of_row(
            {
                **one,
                "piece": int(work.items[one["piece"]].key),
                "tabs": json.dumps(one["tabs"]),
            }
        )
        for one in kept["held"]
    )
    return HeldLayout(tuple(held), Run(**{name: kept[name] for name in HOLDS}))


def _read(kept: dict[str, Any], work: nests.Work) -> nests.Layout:
    placed = tuple(
        Placed(work.items[place].key, x, y, turn) for place, x, y, turn in kept["placed"]
    )
    made = NestedSheet(placed, kept["along"], kept["used_mm"], kept["yield"], kept["other"])
    offcut = None if kept["offcut"] is None else work.offcuts[kept["offcut"]]
    return nests.Layout(made, offcut, _holds_read(kept["holds"], work))


def main() -> None:
    """Makes the tape again, beside this module."""
    from .shop import fill

    tape = Tape(is_recording=True)
    fill(tape=tape)
    tape.save(Path(__file__).with_name(MADE))


if __name__ == "__main__":
    main()
