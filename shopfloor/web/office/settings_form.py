"""The form of Office's settings: every setting on offer under its heading, and those of an earlier version still in force.

What each setting is and may be is declared in domain/settings.py.
"""

from __future__ import annotations

from collections.abc import Sequence

from ...domain.fields import Field
from ...domain.holding.holding import BLOWER_INHG, ROTARY_VANE_INHG
from ...domain.routing.cutters import Cutter
from ...domain.settings import FIELDS, OFFERED, Settings
from ...wording import fields as wording
from ...wording.message import Message
from ..forms import Choice, FormField, form_field

USUAL_INHG = {"blower": BLOWER_INHG, "rotary vane": ROTARY_VANE_INHG}
APART = ("cutter", "pump")  # drawn otherwise than the fields beside them
TABLE_PX = 420  # the longer side of the drawn table


def page(
    settings: Settings, changed: Sequence[str], cutters: Sequence[Cutter]
) -> dict[str, object]:
    """All that the form shows: the settings in force by heading, and as `kept` those that no form offers and the shop
    changed in an earlier version. `changed` names the settings that the shop has changed; `cutters` may be chosen."""
    kept = [_field(FIELDS[name], settings) for name in changed if not FIELDS[name].is_offered]
    return {
        "groups": {key: _group(key, settings) for key in wording.GROUPS},
        "cutters": cutter_choices(cutters, settings.cutter, wording.usual_cutter()),
        "pumps": _pumps(settings.pump),
        "table": _table(settings),
        "kept": kept,
    }


def group_of(names: Sequence[str]) -> str | None:
    """The heading to come back to after some settings changed; None where one of them is at the top of the page."""
    groups = {FIELDS[name].declared.group for name in names}
    return (
        None if "shop" in groups else next((key for key in wording.GROUPS if key in groups), None)
    )


def cutter_choices(cutters: Sequence[Cutter], chosen: int, first: Message) -> list[Choice]:
    """The cutters to choose from, by their ids; 0 comes first and is called `first`."""
    return [
        Choice("0", first, "", not chosen),
        *(
            Choice(str(cutter.id), f"{cutter.name} · {cutter.called}", "", cutter.id == chosen)
            for cutter in cutters
        ),
    ]


def _field(field: Field, settings: Settings) -> FormField:
    return form_field(field, getattr(settings, field.name))


def _group(key: str, settings: Settings) -> dict[str, object]:
    fields = [
        _field(field, settings)
        for field in OFFERED.values()
        if field.declared.group == key and field.name not in APART
    ]
    return {"title": wording.group(key), "fields": fields}


def _pumps(chosen: str) -> list[Choice]:
    return [
        Choice(
            pump,
            wording.choice("settings", "pump", pump),
            wording.usual_vacuum(inhg),
            pump == chosen,
        )
        for pump, inhg in USUAL_INHG.items()
    ]


def _table(settings: Settings) -> dict[str, object]:
    """The vacuum table, drawn from above: pixels, and the borders of its zones."""
    long, wide = settings.table_length_mm, settings.table_width_mm
    scale = TABLE_PX / max(long, wide)
    wide_px, high_px = round(long * scale), round(wide * scale)
    return {
        "wide_px": wide_px,
        "high_px": high_px,
        "across": _borders(wide_px, settings.zones_along),
        "along": _borders(high_px, settings.zones_across),
        "length": f"{long:g}",
        "width": f"{wide:g}",
    }


def _borders(px: int, zones: int) -> tuple[float, ...]:
    return tuple(round(px * nth / zones, 1) for nth in range(1, zones))
