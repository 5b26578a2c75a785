"""shopfloor: every piece of every sign, from the drawing to the hand-over."""

__version__ = "0.2.0"
