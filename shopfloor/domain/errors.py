"""The one family of errors. Each carries one sentence that says what to do; nothing was changed when it is raised."""


class ShopError(Exception):
    """A refusal in one sentence. `sentence` is what the person reads."""

    def __init__(self, sentence: str):
        super().__init__(sentence)
        self.sentence = sentence


class NotFound(ShopError):
    """There is no such thing (a page answers 404)."""


class Conflict(ShopError):
    """The state does not allow it, or somebody was quicker (a page answers 409)."""


class Refused(ShopError):
    """What was given cannot be used (a page answers 422)."""


class NotAllowed(ShopError):
    """This person may not do that (a page answers 403)."""
