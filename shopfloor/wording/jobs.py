"""Jobs: taking a drawing in, the order, the Floor, and a new drawing for a job under way."""

from __future__ import annotations

from .message import Day, Length, Message, Messages, message, ngettext
from .message import gettext as _

# Counts inside other sentences. -----------------------------------------------------------------


@message
def signs(count: int) -> str:
    return ngettext("{count} sign", "{count} signs", count)


@message
def pieces(count: int) -> str:
    return ngettext("{count} piece", "{count} pieces", count)


@message
def parts(count: int) -> str:
    return ngettext("{count} part", "{count} parts", count)


@message
def levels(count: int) -> str:
    return ngettext("{count} level", "{count} levels", count)


# Looking up. ------------------------------------------------------------------------------------


@message
def no_such_job(number: str) -> str:
    return _("There is no job {number}. Look it up in Jobs.")


@message
def job_not_found() -> str:
    return _("There is no such job. Look it up in Jobs.")


@message
def sign_not_found() -> str:
    return _("There is no such sign. Look it up on the Floor or in Jobs.")


@message
def part_not_found() -> str:
    return _("There is no such part. Look the sign up in Jobs.")


# The order. -------------------------------------------------------------------------------------


@message
def customer_needed(most: int) -> str:
    return _("Enter the customer, in 1 to {most} letters.")


@message
def title_needed(most: int) -> str:
    return _("Give the job a title of 1 to {most} letters.")


@message
def not_a_date(text: str) -> str:
    return _("'{text}' is not a date. Write the due date as 2027-03-31.")


@message
def due_needed() -> str:
    return _("No due date yet. Choose a day.")


@message
def quantity_out_of_range(most: int) -> str:
    return _("The quantity must be a whole number from 1 to {most}.")


@message
def quantity() -> str:
    return _("The quantity")


@message
def quantity_of_sign(mark: str) -> str:
    return _("The number of sign {mark}")


@message
def too_many_pieces(pieces: int, most: int) -> str:
    return _("That is {pieces} pieces. A job holds at most {most}: take it in as several jobs.")


@message
def no_sign_to_make(number: int, count: int) -> str:
    return _("There is no sign {number} to make {count} of. Check the signs of the drawing.")


@message
def count_out_of_range(number: int, name: str, most: int) -> str:
    return _("How many of sign {number}, '{name}'? Enter a whole number from 1 to {most}.")


@message
def choose_a_stock(colour: str) -> str:
    return _("Choose the stock that the {colour} parts are cut from.")


# Taking a job in. -------------------------------------------------------------------------------


@message
def taken_in(job: str, signs: Message, pieces: Message) -> str:
    return _("{job} is taken in: {signs}, {pieces}.")


@message
def spares_will_be_used(count: int) -> str:
    return ngettext(
        "{count} spare in stock will be used. Print a new label for it.",
        "{count} spares in stock will be used. Print new labels for them.",
        count,
    )


@message
def stock_made(colour: str, stock: str, length: str, width: str) -> str:
    return _(
        "A new stock was made for the colour {colour}: {stock}, full sheet {length} × {width} mm."
    )


@message
def taking_in(title: str) -> str:
    return _("Taking in {title}")


@message
def nesting_the_job() -> str:
    return _(
        "The pieces of each stock are being nested. You may leave this page: the job will be in Jobs."
    )


@message
def back_to_the_drawing() -> str:
    return _("Back to the drawing")


@message
def new_drawing() -> str:
    return _("New drawing")


@message
def new_drawing_named(file: str) -> str:
    return _("New drawing: {file}")


@message
def parts_on_levels(parts: Message, levels: Message) -> str:
    return _("{parts} on {levels}")


@message
def new_stock(colour: str, thickness: str) -> str:
    return _("New: {colour}, {thickness} mm")


@message
def in_weeks(count: int) -> str:
    return ngettext("in {count} week", "in {count} weeks", count)


# The command line. ------------------------------------------------------------------------------


@message
def unit_was_assumed(unit: str) -> str:
    return _("The drawing names no unit; {unit} was assumed. Use --unit to change it.")


@message
def colours_were_joined(colours: Messages) -> str:
    return _("{colours} were taken for one material. Use --keep-colours to keep them apart.")


@message
def loose_part_is_a_sign(name: str, size: Message) -> str:
    if name:
        return _("'{name}' ({size}) lies on no board and was taken in as a sign of its own.")
    return _("A part of {size} lies on no board and was taken in as a sign of its own.")


@message
def each_is_not_a_count(choice: str) -> str:
    return _("--each {choice}: write it as SIGN=NUMBER, such as A=3.")


@message
def each_names_no_sign(choice: str, mark: str, first: str, last: str) -> str:
    if first == last:
        return _("--each {choice}: the drawing has no sign {mark}, only {first}.")
    return _("--each {choice}: the drawing has no sign {mark}, only {first} to {last}.")


@message
def stock_is_not_a_pair(choice: str) -> str:
    return _("--stock {choice}: write it as COLOUR=CODE, such as '#f2e8cf=cream-6'.")


@message
def no_such_colour(colour: str, colours: Messages) -> str:
    return _("The drawing has no colour {colour}. It has {colours}.")


@message
def colour_named(colour: str, name: str) -> str:
    return _("{colour} ({name})")


@message
def would_be_cut(job: str, to_cut: Message, spare: int) -> str:
    return ngettext(
        "{job} would need {to_cut} cut; {spare} would be a spare.",
        "{job} would need {to_cut} cut; {spare} would be spares.",
        spare,
    )


# Changing a job. --------------------------------------------------------------------------------


@message
def unchanged(job: str) -> str:
    return _("Nothing to change in {job}.")


@message
def changed(job: str, customer: str, title: str, due: Day, year: int) -> str:
    return _("{job} is now: {customer}, {title}, due {due} {year}.")


@message
def day_is_past() -> str:
    return _("That day is past.")


@message
def due_day_is_past() -> str:
    return _("Its due day is past.")


@message
def choose_what_to_do() -> str:
    return _("Choose what to do with the sign. Load the page again.")


# The list of jobs and the Floor. ----------------------------------------------------------------


@message
def jobs() -> str:
    return _("Jobs")


@message
def floor() -> str:
    return _("Floor")


@message
def in_hand(count: int, pieces: Message) -> str:
    return _("{count} of {pieces} in hand")


@message
def in_hand_and_to_trim(count: int, pieces: Message, to_trim: int) -> str:
    return _("{count} of {pieces} in hand, {to_trim} to trim")


@message
def no_piece() -> str:
    return _("none")


@message
def recut_in_state(state: Message, number: int) -> str:
    return _("{state}, recut {number}")


@message
def closed_signs(count: int, signs: int) -> str:
    return _("{count} of {signs} handed over or cancelled")


@message
def marks_from_to(job: str, first: str, last: str) -> str:
    return _("{job} {first}–{last}")


@message
def names_from_to(first: str, last: str) -> str:
    return _("{first} to {last}")


@message
def plates_wide(count: int, width: Length) -> str:
    return _("{count} × {width}")


# A new drawing for a job under way. -------------------------------------------------------------


@message
def new_drawing_for(job: str) -> str:
    return _("New drawing for {job}")


@message
def drawing_changes_nothing(job: str) -> str:
    return _("The new drawing changes nothing in {job}. There is nothing to do.")


@message
def no_sign_open(job: str) -> str:
    return _("No sign of {job} is open any more. Take the drawing in as a new job.")


@message
def job_changed_meanwhile(job: str) -> str:
    return _("{job} was changed meanwhile. Compare the new drawing again.")


@message
def say_about_glued_pieces() -> str:
    return _("Glued pieces must come off. Say first whether they are spoiled or come off whole.")


@message
def changing(job: str) -> str:
    return _("Changing {job}")


@message
def nesting_the_change() -> str:
    return _(
        "The planned sheets of the job are being nested again. You may leave this page: the job will be in Jobs."
    )


@message
def back_to_the_new_drawing() -> str:
    return _("Back to the new drawing")


@message
def follows_the_drawing(job: str, outcome: Messages) -> str:
    return _("{job} follows the new drawing: {outcome}.")


@message
def follows_without_cutting(job: str) -> str:
    return _("{job} follows the new drawing. Nothing to cut.")


@message
def pieces_by_outcome(outcome: str, count: int) -> str:
    match outcome:
        case "to_cut":
            return ngettext("{count} piece to cut", "{count} pieces to cut", count)
        case "used":
            return ngettext("{count} piece used again", "{count} pieces used again", count)
        case "withdrawn":
            return ngettext(
                "{count} uncut piece not needed", "{count} uncut pieces not needed", count
            )
        case "spare":
            return ngettext("{count} left over as a spare", "{count} left over as spares", count)
    return ngettext("{count} piece spoiled", "{count} pieces spoiled", count)


# The page that compares the drawings. -----------------------------------------------------------


@message
def changes_nothing() -> str:
    return _("The new drawing changes nothing")


@message
def to_cut(count: int) -> str:
    return ngettext("{count} piece to cut", "{count} pieces to cut", count)


@message
def nothing_to_cut() -> str:
    return _("Nothing to cut")


@message
def cost_label(what: str) -> str:
    labels = {
        "parts": _("Parts"),
        "used": _("Used again"),
        "withdrawn": _("Not cut yet, not needed"),
        "spare": _("Left over as spares"),
        "sheet": _("Sheet"),
        "money": _("Material cost"),
        "minutes": _("Time at the router"),
    }
    return labels[what]


@message
def several(items: Messages) -> str:
    return _("{items}")


@message
def parts_by_change(kind: str, count: int) -> str:
    match kind:
        case "same":
            return _("{count} unchanged")
        case "moved":
            return _("{count} moved")
        case "new":
            return _("{count} new")
    return _("{count} removed")


@message
def change_heading(kind: str) -> str:
    match kind:
        case "moved":
            return _("Moved")
        case "new":
            return _("New")
    return _("Removed")


@message
def pieces_with_new_labels(count: int) -> str:
    return ngettext("{count} piece, with a new label", "{count} pieces, with new labels", count)


@message
def about_so_much(sheets: Messages) -> str:
    return _("about {sheets}")


@message
def sheets_of_stock(count: str, stock: Message | str) -> str:
    return _("{count} sheets of {stock}")


@message
def share_of_a_sheet(percent: str, stock: Message | str) -> str:
    return _("{percent} % of {stock}")


@message
def a_new_stock() -> str:
    return _("a new stock")


@message
def about_minutes(count: int) -> str:
    return ngettext("about {count} minute", "about {count} minutes", count)


@message
def a_new_sign_heading() -> str:
    return _("A new sign")


@message
def new_over_old(signs: Message) -> str:
    return _("{signs}: new over old")


@message
def sign_is_cancelled() -> str:
    return _("Not in the new drawing: it is cancelled")


@message
def new_sign_of(parts: Message) -> str:
    return _("A new sign of {parts}")


@message
def part_of_width(width: Length) -> str:
    return _("a part of {width}")


@message
def part_named(name: str) -> str:
    return _("'{name}'")


@message
def part_numbered(number: int, name: str) -> str:
    return _("'{name}' (no. {number})") if name else _("no. {number}")


@message
def step(towards: str, length: Length) -> str:
    match towards:
        case "right":
            return _("{length} right")
        case "left":
            return _("{length} left")
        case "up":
            return _("{length} up")
    return _("{length} down")


@message
def turned() -> str:
    return _("turned")


@message
def moved_parts(way: Message, parts: Messages) -> str:
    return _("{way}: {parts}")


@message
def another_drawing_meanwhile() -> str:
    return _("Another drawing was taken in at the same moment. Confirm again.")
