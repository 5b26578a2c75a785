"""Sheet materials, full sheets and offcuts in the rack, and how a material is cut."""

from __future__ import annotations

from .message import Code, Message, Number, message, ngettext
from .message import gettext as _


@message
def choose_a_colour() -> str:
    return _("Choose the colour of the sheet, as in #f2e8cf.")


@message
def no_such_stock() -> str:
    return _("Material not found. Choose one in Stock.")


@message
def no_stock_of_code(code: str, known: str) -> str:
    if known:
        return _("There is no material {code}. The shop has {known}.")
    return _("There is no material {code}. The shop has none yet.")


@message
def no_such_sheet() -> str:
    return _("Full sheet or offcut not found. Look for it in Stock.")


@message
def added(name: str, thickness: Number, code: str) -> str:
    return _("Material added: {name}, {thickness} mm. Its code is {code}.")


@message
def unchanged(stock: str) -> str:
    return _("Nothing to change in {stock}.")


@message
def changed(stock: str) -> str:
    return _("{stock} is saved.")


@message
def planned_nests_stay() -> str:
    return _("Planned sheets keep their nests. Nest them again if needed.")


@message
def drawing_came_meanwhile() -> str:
    return _("A job was added just now. Save again.")


@message
def sheets_came(stock: str, count: int) -> str:
    return ngettext("1 sheet of {stock} received.", "{count} sheets of {stock} received.", count)


@message
def planned_sheets_came(count: int) -> str:
    return ngettext(
        "1 of them is for a planned sheet.", "{count} of them are for planned sheets.", count
    )


@message
def larger_than_full_sheet(stock: str, length: Number, width: Number) -> str:
    return _("A full sheet of {stock} is {length} × {width} mm. Measure the offcut again.")


@message
def offcut_added(stock: str, length: Number, width: Number, code: Code) -> str:
    return _("Offcut of {stock}, {length} × {width} mm, is in the rack. Label it {code}.")


@message
def full_sheet_of(code: Code, stock: str) -> str:
    return _("Full sheet {code} of {stock}")


@message
def offcut_of(code: Code, stock: str) -> str:
    return _("Offcut {code} of {stock}")


@message
def already_out(what: Message) -> str:
    return _("{what} is already out of the rack.")


@message
def cut_up(what: Message) -> str:
    return _("{what} has been cut. There is nothing to take out.")


@message
def booked(what: Message, sheet: str) -> str:
    return _("{what} is booked for {sheet}. On that sheet's page, press “Cut from another” first.")


@message
def booked_for_a_sheet(what: Message) -> str:
    return _("{what} is booked for a sheet. On that sheet's page, press “Cut from another” first.")


@message
def taken_out(what: Message) -> str:
    return _("{what} is out of the rack.")


@message
def colour_not_remembered(colour: str) -> str:
    return _("No material has the drawing colour {colour}.")


@message
def colour_forgotten(colour: str) -> str:
    return _("Colour {colour} is forgotten. The next drawing with it will ask for a material.")
