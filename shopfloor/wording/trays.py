"""Trays, bags and shelves, what lies in them, and the picking list of a sign."""

from __future__ import annotations

import functools
from collections.abc import Sequence

from .message import Code, Message, Messages, message, ngettext, plain
from .message import gettext as _

MOST_NAMED = 3

# Trays and places. ------------------------------------------------------------------------------


@message
def kind_name(kind: str) -> str:
    return {"bag": _("Bag"), "tray": _("Tray"), "shelf": _("Shelf"), "rack": _("Rack")}[kind]


@message
def kind_word(kind: str) -> str:
    """The kind within a sentence."""
    return {"bag": _("bag"), "tray": _("tray"), "shelf": _("shelf"), "rack": _("rack")}[kind]


@message
def numbered(kind: str, name: str) -> str:
    """'bag 3', within a sentence."""
    return {
        "bag": _("bag {name}"),
        "tray": _("tray {name}"),
        "shelf": _("shelf {name}"),
        "rack": _("rack {name}"),
    }[kind]


@message
def numbered_at_start(kind: str, name: str) -> str:
    """'Bag 3', at the start of a sentence or alone."""
    return {
        "bag": _("Bag {name}"),
        "tray": _("Tray {name}"),
        "shelf": _("Shelf {name}"),
        "rack": _("Rack {name}"),
    }[kind]


def tray(kind: str, name: str) -> Message:
    """'bag 3', or 'bench tray 2' where the name says what it is."""
    return plain(name) if kind in name.lower() else numbered(kind, name)


def tray_at_start(kind: str, name: str) -> Message:
    """'Bag 3', or 'Bench tray 2' where the name says what it is."""
    if kind in name.lower():
        return plain(name[:1].upper() + name[1:])
    return numbered_at_start(kind, name)


@message
def inside(tray: Message) -> str:
    return _("in {tray}")


@message
def on(tray: Message) -> str:
    return _("on {tray}")


@message
def on_the_bench() -> str:
    return _("on the bench")


@message
def within(place: Message, around: Message) -> str:
    return _("{place}, {around}")


def whereabouts(places: Sequence[Message]) -> Message:
    """'in bag 3, in bench tray 2, on shelf A', the innermost place first; 'on the bench' for none."""
    return functools.reduce(within, places[1:], places[0]) if places else on_the_bench()


# What people do with trays. ---------------------------------------------------------------------


@message
def choose_a_kind() -> str:
    return _("Choose a bag, a tray, a shelf or a rack.")


@message
def name_too_long(most: int) -> str:
    return _("A name has at most {most} letters. Shorten it.")


@message
def name_taken(tray: Message) -> str:
    return _("There is already a {tray}. Choose another name.")


@message
def no_such_tray(code: Code) -> str:
    return _("No tray has the code {code}. Scan again.")


@message
def made(tray: Message, code: Code) -> str:
    return _("{tray} added: {code}. Print its label.")


@message
def cannot_go_into_itself(tray: Message) -> str:
    return _("{tray} can't go into itself. Scan another tray.")


@message
def is_inside_already(tray: Message, other: Message) -> str:
    """`tray` is in `other`, which was to go into it."""
    return _("{tray} is inside {other}. Scan another tray.")


@message
def does_not_go_into(kind: Message, into: Message) -> str:
    return _("A {kind} does not go into a {into}. Scan the larger one.")


@message
def now_there(what: Message, place: Message, count: int = 1) -> str:
    """Of a tray, a piece or several."""
    return ngettext("{what} is now {place}.", "{what} are now {place}.", count)


@message
def already_there(what: Message, place: Message, count: int = 1) -> str:
    return ngettext("{what} is already {place}.", "{what} are already {place}.", count)


@message
def on_its_own() -> str:
    """Of a tray that is in no other."""
    return _("on its own")


@message
def is_off(tray: Message, other: Message) -> str:
    return _("{tray} is off {other}.")


@message
def is_out_of(tray: Message, other: Message) -> str:
    return _("{tray} is out of {other}.")


@message
def not_empty(tray: Message, held: Messages) -> str:
    return _("{tray} is not empty: {held}. Empty it first.")


@message
def retired(tray: Message) -> str:
    return _("{tray} is retired. Take its label off.")


@message
def is_retired(tray: Message) -> str:
    return _("{tray} is retired. Take its label off and use another one.")


# Pieces in trays. -------------------------------------------------------------------------------


@message
def pieces(count: int) -> str:
    return ngettext("{count} piece", "{count} pieces", count)


@message
def held(count: int, signs: Messages) -> str:
    """'3 pieces: J-1004 A (2) and spares (1)'"""
    return ngettext("{count} piece: {signs}", "{count} pieces: {signs}", count)


@message
def counted(sign: Message | str, count: int) -> str:
    return _("{sign} ({count})")


@message
def spares() -> str:
    return _("spares")


@message
def more(count: int) -> str:
    return ngettext("{count} more", "{count} more", count)


def some_of(names: Sequence[Message | str]) -> tuple[Message | str, ...]:
    """The first few names, then how many more."""
    rest = len(names) - MOST_NAMED
    return (*names[:MOST_NAMED], more(rest)) if rest > 0 else tuple(names)


@message
def scan_a_piece() -> str:
    return _("Scan a piece first.")


@message
def not_a_piece(code: Code, kind: str) -> str:
    return {
        "sheet": _("{code} is the label of a sheet. Scan the label of a piece."),
        "sign": _("{code} is the label of a sign. Scan the label of a piece."),
        "blank": _("{code} is the label of a full sheet or an offcut. Scan the label of a piece."),
        "tray": _("{code} is the label of a tray. Scan the label of a piece."),
    }[kind]


@message
def glued_to_its_sign(piece: Message | str) -> str:
    return _("{piece} is mounted on its sign.")


@message
def not_marked_cut(piece: Message | str) -> str:
    return _("{piece} is not marked cut yet. Mark it “Cut, good” first.")


@message
def marked_lost(piece: Message | str) -> str:
    return _("{piece} is marked lost. If this is it, mark it “Found” first.")


@message
def waits_for_a_sheet(piece: Message | str) -> str:
    return _(
        "{piece} is not cut yet: it waits for a sheet. If this label is on a piece, take it off."
    )


@message
def is_damaged(piece: Message | str) -> str:
    return _("{piece} is damaged. Put it aside.")


@message
def not_needed(piece: Message | str) -> str:
    return _("{piece} is not needed. Put it aside.")


@message
def taken_out(what: Message, tray: Message) -> str:
    return _("{what} taken out of {tray}.")


@message
def not_there(what: Message, place: Message, count: int = 1) -> str:
    return ngettext(
        "{what} is not {place}. Nothing to do.", "{what} are not {place}. Nothing to do.", count
    )


# Picking. ---------------------------------------------------------------------------------------


@message
def picked(piece: Message | str) -> str:
    return _("{piece} picked.")


@message
def already_picked(piece: Message | str) -> str:
    return _("Already picked: {piece}.")


@message
def already_glued(piece: Message | str) -> str:
    return _("Already mounted: {piece}.")


@message
def trim_tabs_first() -> str:
    return _("Trim its tabs first.")


@message
def put_it(place: Message) -> str:
    return _("Put it {place}.")


@message
def picked_from(count: int, total: int, place: Message, sign: str) -> str:
    return _("{count} of {total} {place} picked for {sign}.")


@message
def already_picked_from(count: int, total: int, place: Message, sign: str) -> str:
    return _("Already picked for {sign}: {count} of {total} {place}.")


@message
def not_for_it(pieces: Messages) -> str:
    return _("Not for this sign: {pieces}.")


@message
def empty_tray(tray: Message) -> str:
    return _("{tray} is empty. Nothing picked.")


@message
def nothing_for_sign(place: Message, sign: str, pieces: Messages) -> str:
    return _("Nothing {place} is for {sign}. It holds {pieces}.")


@message
def for_another_sign(sign: str, piece: Message | str, spot: Message) -> str:
    return _("Not for {sign}: {piece} goes on {spot}.")


@message
def its_pieces_are(place: Message) -> str:
    return _("That sign's pieces are {place}.")


@message
def is_a_spare(code: Code) -> str:
    return _("{code} is a spare. Put it with the spares of its material.")


@message
def tap_a_piece() -> str:
    return _("Tap a piece first.")


@message
def put_back(what: Message) -> str:
    return _("{what} put back.")


@message
def not_picked(what: Message, count: int = 1) -> str:
    return ngettext(
        "{what} is not picked. Nothing to do.", "{what} are not picked. Nothing to do.", count
    )


# The picking list. ------------------------------------------------------------------------------


@message
def list_title(sign: str) -> str:
    return _("Pick list: {sign}")


@message
def trays_title() -> str:
    return _("Trays")


@message
def status(status: str) -> str:
    return {
        "glued": _("mounted"),
        "picked": _("picked"),
        "to pick": _("to pick"),
        "missing": _("missing"),
    }[status]


@message
def missing(count: int, total: int, pieces: Message | str) -> str:
    return _("{count} of {total} missing: {pieces}")


@message
def still_to_pick(count: int, total: int) -> str:
    return _("Nothing is missing. {count} of {total} still to pick.")


@message
def everything_is_here() -> str:
    return _("Everything is here.")


@message
def missing_where(state: str, sheet: str, sheet_state: str) -> str:
    """Where the piece of a missing part is, by its state and that of its sheet."""
    if state == "waiting":
        return _("waiting for a sheet")
    if state != "nested":
        return _("no piece")
    return {
        "planned": _("on sheet {sheet}, which is not started"),
        "cutting": _("on sheet {sheet}, on the router now"),
        "off the table": _("on sheet {sheet}, off the table and not marked yet"),
    }.get(sheet_state, _("on sheet {sheet}"))


@message
def recut_where(gone: str, recut: Code, where: Message) -> str:
    if gone == "lost":
        return _("lost; its recut {recut} is {where}")
    return _("damaged; its recut {recut} is {where}")


@message
def loose(sheet: str) -> str:
    """A piece that lies about and that nobody put anywhere."""
    if sheet:
        return _("loose, from sheet {sheet}: in no tray or bag")
    return _("loose: in no tray or bag")


@message
def part_title(number: int, name: str) -> str:
    return _("No. {number} '{name}'") if name else _("No. {number}")


@message
def place_on_sign(part: Message, level: int) -> str:
    return _("{part}, level {level}")


@message
def place_on_line(part: Message, level: int, line: int) -> str:
    return _("{part}, level {level}, line {line}")


@message
def how_drawn(state: str) -> str:
    """What a part's look in the drawing means, by the state that it is drawn in."""
    return {
        "ready": _("picked"),
        "cut": _("picked, tabs to trim"),
        "fixed": _("mounted"),
        "nested": _("to pick"),
        "waiting": _("missing"),
        "lost": _("missing: lost"),
        "damaged": _("missing: damaged"),
    }[state]


@message
def drawing_title(sign: str, name: str) -> str:
    return _("{sign}, {name}: picked pieces are filled")


@message
def outline_title() -> str:
    return _("Outline of the piece")
