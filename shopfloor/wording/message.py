"""What a message is: a stable name and plain values, put into words only for the person who reads it.

Declared once, as a function that returns its English text with named places:

    @message
    def already_lost(recut: Code) -> str:
        return _("Already lost. Its recut is {recut}.")

Calling it gives a `Message`; `text` makes the sentence, in the reader's units and time zone. The ledger
keeps the name and the values (`as_dict`), so the name never changes when the English does.

In a template a message is put out as it is, also in an attribute, with `~`, in a `join` and as a value of
`_("… %(place)s", place=message)`: each of these calls `str`, which writes for whom `write_for` says: on a
page for the shop's own units and zone, elsewhere in millimetres and UTC.

The annotation gives the kind of a value: Code, Length (mm), FineLength (mm), Movement (mm, finer still),
AtLeast (mm, never rounded down), DrillSize (mm), Figure (mm, without its unit), Degrees (°C, without its unit),
Day, Moment (UTC), Clock (UTC), Soon (a moment: the nearer it is to the reader's now, the shorter it is
written), Number, OneDecimal, Percent (0 to 1), FinePercent (the same in two figures), PercentFigure (without
its sign), Factor (two figures), Money, Vacuum (inHg), another Message, or several (`Messages`). Text and whole
numbers go in as they are. For a plural use `ngettext` inside the function; never an f-string.
"""

from __future__ import annotations

import functools
import importlib
import inspect
import typing
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from gettext import NullTranslations
from typing import Annotated, Any, ParamSpec

from .formatting import Reader

Parameters = ParamSpec("Parameters")

Code = Annotated[str, "code"]
Length = Annotated[float, "length"]
FineLength = Annotated[float, "fine length"]
Figure = Annotated[float, "figure"]
Movement = Annotated[float, "movement"]
AtLeast = Annotated[float, "at least"]
DrillSize = Annotated[float, "drill"]
Degrees = Annotated[float, "degrees"]
Day = Annotated[str | date, "day"]
Moment = Annotated[str | datetime, "moment"]
FullDay = Annotated[str | date, "full day"]  # with its year
FullMoment = Annotated[str | datetime, "full moment"]
Clock = Annotated[str | datetime, "clock"]
Soon = Annotated[str | datetime, "soon"]
Number = Annotated[float, "number"]
Percent = Annotated[float, "percent"]
FinePercent = Annotated[float, "fine percent"]
PercentFigure = Annotated[float, "percent figure"]
OneDecimal = Annotated[float, "one decimal"]
Factor = Annotated[float, "factor"]
Money = Annotated[float, "money"]
Vacuum = Annotated[float, "vacuum"]

ENGLISH = NullTranslations()
PLAIN_READER = Reader()


def _plain_reader() -> Reader:
    return PLAIN_READER


_reader: Callable[[], Reader] = _plain_reader


def write_for(reader: Callable[[], Reader]) -> None:
    """Set who reads what `str` makes of a message: `reader` is asked each time."""
    global _reader  # noqa: PLW0603 - one for the whole process, set once by the web application
    _reader = reader


def gettext(text: str) -> str:
    """The text in the reader's language: English until there is another."""
    return ENGLISH.gettext(text)


def ngettext(one: str, many: str, count: int) -> str:
    """The text for a count of one or of many."""
    return ENGLISH.ngettext(one, many, count)


_ = gettext


@dataclass(frozen=True)
class Message:
    """A sentence or a label before it is put into words: its name ('pieces.already_lost') and its values."""

    name: str
    values: Mapping[str, Any] = field(default_factory=dict)

    def __str__(self) -> str:
        """The text for the present reader (`write_for`): of a page, else in millimetres and UTC."""
        return text(self, _reader())

    def __hash__(self) -> int:
        return hash((self.name, text(self)))


Messages = Sequence[Message | str]
Options = Annotated[Messages, "or"]  # 'A, B or C'
_DECLARED: dict[str, Callable[..., str]] = {}


def message(words: Callable[Parameters, str]) -> Callable[Parameters, Message]:
    """Declare a message by a function that returns its text. Its name is 'module.function'."""
    name = f"{words.__module__.rpartition('.')[2]}.{words.__name__}"
    if name in _DECLARED:
        raise ValueError(f"two messages are called {name}")
    _DECLARED[name] = words
    signature = inspect.signature(words)

    @functools.wraps(words)
    def made(*args: Parameters.args, **kwargs: Parameters.kwargs) -> Message:
        given = signature.bind(*args, **kwargs)
        given.apply_defaults()
        return Message(name, {place: _plain(value) for place, value in given.arguments.items()})

    return made


def _plain(value: Any) -> Any:
    """A value as it is kept: moments and days as text, several values as a tuple."""
    if isinstance(value, date | datetime):
        return value.isoformat()
    return tuple(_plain(item) for item in value) if isinstance(value, list | tuple) else value


def text(said: Message | str, reader: Reader = PLAIN_READER) -> str:
    """The message as its reader reads it. Text that is ready already (a name, an old sentence) stays as it is."""
    if isinstance(said, str):
        return said
    words = _declared(said.name)
    kinds = _kinds(words)
    shown = {name: _shown(value, kinds.get(name), reader) for name, value in said.values.items()}
    return words(**said.values).format_map(shown)


def _declared(name: str) -> Callable[..., str]:
    """The function that declares a message; its module may not be imported yet where the ledger kept the name."""
    if name not in _DECLARED:
        importlib.import_module(f"{__package__}.{name.partition('.')[0]}")
    return _DECLARED[name]


@functools.cache
def _kinds(words: Callable[..., str]) -> dict[str, str]:
    """The kind of each value of a message that is not shown as it is: {'recut': 'code'}."""
    hints = typing.get_type_hints(words, include_extras=True)
    kinds = {}
    for name, hint in hints.items():
        for option in (hint, *typing.get_args(hint)):
            if typing.get_origin(option) is Annotated:
                kinds[name] = option.__metadata__[0]
    return kinds


def _shown(value: object, kind: str | None, reader: Reader) -> str:
    if isinstance(value, Message):
        return text(value, reader)
    if isinstance(value, tuple) and kind == "or":
        return listed([_shown(item, None, reader) for item in value], _("{first} or {last}"))
    if isinstance(value, tuple):
        return listed([_shown(item, kind, reader) for item in value])
    return str(value) if kind is None or value is None else reader.show(kind, value)


def listed(items: Sequence[str], pattern: str | None = None) -> str:
    """'A', 'A and B', 'A, B and C'; nothing for none."""
    if len(items) < 2:
        return "".join(items)
    pattern = pattern or _("{first} and {last}")
    return pattern.format(first=", ".join(items[:-1]), last=items[-1])


@message
def plain(sentence: str) -> str:
    """Text that no message made: what an older version of the ledger kept."""
    return "{sentence}"


@message
def sentences(first: Message | str, second: Message | str) -> str:
    """Two sentences, one after the other."""
    return "{first} {second}"


def joined(parts: Iterable[Message | str | None]) -> Message:
    """Several sentences as one message, in order; what is None or empty is left out."""
    kept = [part for part in parts if part]
    if not kept:
        return plain("")
    return functools.reduce(sentences, kept[1:], as_message(kept[0]))


@message
def more(count: int) -> str:
    """The end of a list that is cut short."""
    return _("{count} more")


def first_few(items: Messages, most: int) -> Messages:
    """The first `most` of several names, then how many more: 'A', 'B' and '9 more'."""
    if len(items) <= most:
        return items
    return (*items[:most], more(len(items) - most))


def first_sentence(message: Message) -> Message:
    """The first sentence of a message; an old answer, which is text, is cut at its first full stop."""
    while message.name == "message.sentences":
        message = as_message(message.values["first"])
    if message.name == "message.plain":
        return plain(message.values["sentence"].partition(". ")[0].rstrip(".") + ".")
    return message


def as_message(said: Message | str) -> Message:
    """A message for what may be ready text."""
    return said if isinstance(said, Message) else plain(said)


# How the ledger keeps a message. ----------------------------------------------------------------


def as_dict(said: Message) -> dict[str, Any]:
    """The message as JSON keeps it: {'message': name, 'values': {…}}."""
    return {
        "message": said.name,
        "values": {name: _kept(value) for name, value in said.values.items()},
    }


def of_dict(kept: Mapping[str, Any]) -> Message:
    """The message that `as_dict` kept; an older answer, which is a sentence, as plain text."""
    if "message" not in kept:
        return plain(kept["sentence"])
    return Message(kept["message"], {name: _read(value) for name, value in kept["values"].items()})


def of_kept(kept: Message | Mapping[str, Any] | str) -> Message:
    """A message in an answer's data: as `as_dict` gave it, or the sentence that an older version kept."""
    if isinstance(kept, Message):
        return kept
    return plain(kept) if isinstance(kept, str) else of_dict(kept)


def _kept(value: Any) -> Any:
    if isinstance(value, Message):
        return as_dict(value)
    return [_kept(item) for item in value] if isinstance(value, tuple) else value


def _read(value: Any) -> Any:
    if isinstance(value, dict):
        return of_dict(value)
    return tuple(_read(item) for item in value) if isinstance(value, list) else value
