"""The one family of errors. Each carries one message that says what to do; when it is raised, nothing has changed."""

from __future__ import annotations

from ..wording.message import Message, as_message, text


class ShopError(Exception):
    """A refusal. `message` becomes text for its reader; `sentence` is its English text in millimetres."""

    def __init__(self, message: Message | str) -> None:
        self.message = as_message(message)
        super().__init__(self.message)

    @property
    def sentence(self) -> str:
        """The message in English and millimetres, for the command line and tests."""
        return text(self.message)

    def __str__(self) -> str:
        return self.sentence


class NotFound(ShopError):
    """The thing does not exist (a page answers 404)."""


class Conflict(ShopError):
    """The state does not allow it, or somebody was quicker (a page answers 409)."""


class Refused(ShopError):
    """The input cannot be used (a page answers 422)."""


class NotAllowed(ShopError):
    """This person may not do that (a page answers 403)."""
