"""Pieces: what they are called, their states, marks and causes; labels, scanning and the page of one piece.

The one place for the words of a state, a mark or a cause. Their stored forms ("fixed", "came free and shifted")
stay in the database and in forms.
"""

from __future__ import annotations

from .message import Code, Message, Messages, joined, message
from .message import gettext as _
from .message import ngettext as _n

# What a piece is called. ------------------------------------------------------------------------


@message
def part_of_sign(name: str, sign: str) -> str:
    return _("'{name}' of {sign}")


@message
def numbered_part_of_sign(number: int, sign: str) -> str:
    return _("No. {number} of {sign}")


@message
def spare(code: Code) -> str:
    return _("Spare {code}")


@message
def code_alone(code: Code) -> str:
    return "{code}"


@message
def place(level: int, number: int) -> str:
    return _("level {level}, no. {number}")


@message
def named_place(level: int, number: int, name: str) -> str:
    return _("level {level}, no. {number}, '{name}'")


# States, marks and causes: the stored word -> what people read. ---------------------------------


@message
def state(state: str) -> str:
    """One word or two: 'ready', 'not needed'."""
    return {
        "waiting": _("waiting"),
        "nested": _("on a sheet"),
        "cut": _("cut"),
        "ready": _("ready"),
        "fixed": _("mounted"),
        "lost": _("lost"),
        "damaged": _("damaged"),
        "withdrawn": _("not needed"),
    }[state]


@message
def standing(state: str) -> str:
    """A line under a piece: 'Cut, tabs still on'."""
    return {
        "waiting": _("Waiting for a sheet"),
        "nested": _("On a sheet, not cut yet"),
        "cut": _("Cut, tabs still on"),
        "ready": _("Ready"),
        "fixed": _("Mounted on its sign"),
        "lost": _("Lost"),
        "damaged": _("Damaged"),
        "withdrawn": _("Not needed"),
    }[state]


@message
def standing_because(state: str, cause: Message) -> str:
    return {"lost": _("Lost: {cause}"), "damaged": _("Damaged: {cause}")}[state]


@message
def piece_is(what: Message, state: str) -> str:
    return {
        "waiting": _("{what} is waiting for a sheet."),
        "nested": _("{what} is on a sheet and not cut yet."),
        "cut": _("{what} is cut, tabs still on."),
        "ready": _("{what} is ready."),
        "fixed": _("{what} is mounted on its sign."),
        "lost": _("{what} is lost."),
        "damaged": _("{what} is damaged."),
        "withdrawn": _("{what} is not needed."),
    }[state]


@message
def mark(mark: str) -> str:
    """A button that sets the mark; 'look' sets none."""
    return {
        "look": _("Look up"),
        "cut": _("Cut, good"),
        "trimmed": _("Tabs trimmed"),
        "lost": _("Lost"),
        "damaged": _("Damaged"),
        "found": _("Found"),
        "came off": _("Came off"),
    }[mark]


@message
def cause(cause: str) -> str:
    """What happened to a lost or damaged piece; what a person typed stays as it is."""
    words = {
        "went down the hose": _("went down the hose"),
        "came free and shifted": _("moved on the router"),
        "dropped at the bench": _("dropped at the bench"),
        "chipped on the router": _("chipped on the router"),
        "scratched": _("scratched"),
        "nobody knows": _("nobody knows"),
        "cut wrong": _("cut wrong"),
        "crazed by cement": _("crazed by cement"),
        "glued crooked": _("glued crooked"),
        "its sheet was abandoned": _("sheet not finished"),
    }
    return words.get(cause, "{cause}")


# Marks that are refused. ------------------------------------------------------------------------


@message
def cannot_mark(mark: str) -> str:
    return {
        "cut": _("You can't mark it cut."),
        "trimmed": _("It has no tabs to trim."),
        "lost": _("You can't mark it lost."),
        "damaged": _("You can't mark it damaged."),
        "came off": _("Only a mounted piece can come off."),
    }[mark]


def state_then(piece: str, state: str, then: Message) -> Message:
    """'4072 9153 is ready. It has no tabs to trim.'"""
    return joined([piece_is(code_alone(piece), state), then])


@message
def only_ready_is_mounted() -> str:
    return _("Only a ready piece can be glued or mounted.")


@message
def sign_is_closed(piece: Code, sign_state: str) -> str:
    return {
        "packed": _("The sign of {piece} is packed. Ask an owner to reopen it first."),
        "handed over": _("The sign of {piece} is handed over. Ask an owner to reopen it first."),
    }[sign_state]


@message
def damaged_not_lost(piece: Code) -> str:
    return _("{piece} is damaged, not lost. If that mark was wrong, undo it.")


@message
def no_loss_to_explain() -> str:
    return _("Only a lost or damaged piece has a cause.")


@message
def unknown_mark(mark: str, marks: Messages) -> str:
    return _("“{mark}” is not a mark. The marks are {marks}.")


@message
def no_piece_named() -> str:
    return _("No piece was given. Scan one.")


@message
def cause_too_long() -> str:
    return _("A cause has at most 80 letters. Shorten it.")


@message
def no_cause() -> str:
    return _("Choose what happened, or type it in.")


@message
def no_piece_with_code(code: Code) -> str:
    return _("No piece has the code {code}. Scan it again.")


@message
def choose_mark_first() -> str:
    return _("Choose a mark first, then scan.")


# What a mark did. -------------------------------------------------------------------------------


@message
def gone_with_recut(what: Message, mark: str, recut: Code) -> str:
    return {
        "lost": _("{what} is lost. Its recut {recut} is queued with tabs."),
        "damaged": _("{what} is damaged. Its recut {recut} is queued with tabs."),
    }[mark]


@message
def is_back(what: Message, state: str) -> str:
    return {
        "cut": _("{what} is back: cut, tabs still on."),
        "ready": _("{what} is back and ready."),
    }[state]


@message
def is_back_as_spare(what: Message, state: str) -> str:
    return {
        "cut": _("{what} is back as a spare: cut, tabs still on."),
        "ready": _("{what} is back as a spare, ready."),
    }[state]


@message
def already_lost(recut: Code) -> str:
    return _("Already lost. Its recut is {recut}.")


@message
def already_damaged(recut: Code) -> str:
    return _("Already damaged. Its recut is {recut}.")


@message
def nothing_to_do() -> str:
    return _("Nothing to do.")


@message
def redo(steps: Messages) -> str:
    return _("Steps to redo with it: {steps}.")


@message
def sheet_counts_as_started(sheet: str) -> str:
    return _("Sheet {sheet} had not been started; it now counts as started.")


@message
def several_marked(count: int, mark: str) -> str:
    return {
        "cut": _n("{count} piece marked cut.", "{count} pieces marked cut.", count),
        "trimmed": _n("{count} piece marked trimmed.", "{count} pieces marked trimmed.", count),
        "lost": _n("{count} piece marked lost.", "{count} pieces marked lost.", count),
        "damaged": _n("{count} piece marked damaged.", "{count} pieces marked damaged.", count),
        "found": _n("{count} piece marked found.", "{count} pieces marked found.", count),
        "came off": _n(
            "{count} piece marked “came off”.", "{count} pieces marked “came off”.", count
        ),
    }[mark]


@message
def marked_before(count: int) -> str:
    return _n("{count} was already marked.", "{count} were already marked.", count)


@message
def recuts_queued(count: int) -> str:
    return _n("{count} recut is queued, with tabs.", "{count} recuts are queued, with tabs.", count)


@message
def cause_changed(what: Message, cause: Message) -> str:
    return "{what}: {cause}."


# Where a piece goes, on its card. ---------------------------------------------------------------


@message
def recut_is(recut: Code) -> str:
    return _("Its recut is {recut}")


@message
def not_replaced() -> str:
    return _("Not replaced")


@message
def do_not_cut() -> str:
    return _("Not needed: do not cut it")


@message
def goes_to(sign: str, level: int, state: str, sheet: str | None) -> str:
    """What to do with a piece of a sign, by its state."""
    return {
        "waiting": _("Goes to {sign}, level {level}"),
        "nested": _("On sheet {sheet}, then to {sign}, level {level}"),
        "cut": _("Trim its tabs, then put it with {sign}, level {level}"),
        "ready": _("Put it with {sign}, level {level}"),
        "fixed": _("Mounted on {sign}, level {level}"),
    }[state]


@message
def goes_to_spares(state: str, sheet: str | None) -> str:
    """What to do with a spare, by its state."""
    return {
        "waiting": _("Nothing needs it yet"),
        "nested": _("On sheet {sheet}; nothing needs it"),
        "cut": _("Trim its tabs, then put it with the spares of its material"),
        "ready": _("Put it with the spares of its material"),
        "fixed": _("Put it with the spares of its material"),
    }[state]


@message
def lies(where: Message | str) -> str:
    """`where`: 'in bag 3, on shelf A'."""
    return _("Now {where}")


@message
def lies_picked(where: Message | str, sign: str) -> str:
    return _("Now {where}, picked for {sign}")


@message
def piece_of_sign(code: Code, sign: str) -> str:
    return _("{code} of {sign}")


@message
def outline_of(code: Code) -> str:
    return _("Outline of {code}")


@message
def place_on_sign(place: Message | str, sign: str) -> str:
    return _("{place} on {sign}")


@message
def page_of(code: Code) -> str:
    return _("Piece {code}")


# Scanning. --------------------------------------------------------------------------------------


@message
def sheet(number: str) -> str:
    return _("sheet {number}")


@message
def sign(sign: str) -> str:
    return _("sign {sign}")


@message
def offcut_of(material: Message | str) -> str:
    return _("an offcut of {material}")


@message
def full_sheet_of(material: Message | str) -> str:
    return _("a full sheet of {material}")


@message
def code_is(code: Code, thing: Message | str) -> str:
    return _("{code} is {thing}.")


@message
def go_to(thing: Message | str) -> str:
    return _("Go to {thing}")


@message
def not_a_piece(code: Code, thing: Message | str) -> str:
    return _("{code} is {thing}, not a piece. Look it up instead.")


@message
def no_label_with_code(code: Code) -> str:
    return _("No label has the code {code}. Scan it again.")


@message
def label_withdrawn(code: Code) -> str:
    return _("Label {code} is void: what it was for was undone. Take it off.")
