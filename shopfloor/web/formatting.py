"""How times and numbers of things are written for people: the filters of the templates wrap these."""

from __future__ import annotations

from ..wording.formatting import When, clock, counted, day, local, moment

__all__ = ["When", "clock", "counted", "day", "local", "moment"]
