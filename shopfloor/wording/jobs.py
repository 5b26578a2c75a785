"""Jobs: taking a drawing in, the order, the list of jobs and the Floor."""

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
    return _("There is no job {number}. Look for it in Jobs.")


@message
def job_not_found() -> str:
    return _("Job not found. Look for it in Jobs.")


@message
def sign_not_found() -> str:
    return _("Sign not found. Look for it on the Floor or in Jobs.")


@message
def part_not_found() -> str:
    return _("Part not found. Look for its sign in Jobs.")


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
    return _("That is {pieces} pieces. A job holds at most {most}: split it into several jobs.")


@message
def no_sign_to_make(number: int, count: int) -> str:
    return _("There is no sign {number}. Check the signs of the drawing.")


@message
def count_out_of_range(number: int, name: str, most: int) -> str:
    return _("How many of sign {number}, '{name}'? Enter a whole number from 1 to {most}.")


@message
def choose_a_stock(colour: str) -> str:
    return _("Choose the material for the {colour} parts.")


# Taking a job in. -------------------------------------------------------------------------------


@message
def taken_in(job: str, signs: Message, pieces: Message) -> str:
    return _("{job} is added: {signs}, {pieces}.")


@message
def spares_will_be_used(count: int) -> str:
    return ngettext(
        "{count} spare in stock will be used. Print a new label for it.",
        "{count} spares in stock will be used. Print new labels for them.",
        count,
    )


@message
def stock_made(colour: str, stock: str, length: str, width: str) -> str:
    return _("New material for the colour {colour}: {stock}, full sheet {length} × {width} mm.")


@message
def another_drawing_meanwhile() -> str:
    return _("Another job was added at the same moment. Confirm again.")


@message
def taking_in(title: str) -> str:
    return _("Adding {title}")


@message
def nesting_the_job() -> str:
    return _(
        "Nesting the pieces, material by material. You can leave this page: the job will be in "
        "Jobs."
    )


@message
def back_to_the_drawing() -> str:
    return _("Back to the drawing")


@message
def new_drawing() -> str:
    return _("New job")


@message
def new_drawing_named(file: str) -> str:
    return _("New job: {file}")


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
    return _("The drawing has no unit; {unit} was assumed. Use --unit to change it.")


@message
def colours_were_joined(colours: Messages) -> str:
    return _("{colours} were taken for one material. Use --keep-colours to keep them apart.")


@message
def loose_part_is_a_sign(name: str, size: Message) -> str:
    if name:
        return _("'{name}' ({size}) is not on any panel and counts as a separate sign.")
    return _("A part of {size} is not on any panel and counts as a separate sign.")


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
    return _("{job} would have {to_cut} to cut and {spare} spare.")


# Changing a job. --------------------------------------------------------------------------------


@message
def unchanged(job: str) -> str:
    return _("Nothing to change in {job}.")


@message
def changed(job: str, customer: str, title: str, due: Day, year: int) -> str:
    return _("{job} is now: {customer}, {title}, due {due} {year}.")


@message
def day_is_past() -> str:
    return _("The due date has passed.")


@message
def due_day_is_past() -> str:
    return _("The due date has passed.")


@message
def choose_what_to_do() -> str:
    return _("Choose what to do with the sign. Reload the page.")


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
