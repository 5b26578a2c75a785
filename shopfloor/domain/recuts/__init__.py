"""Recut now or wait, swaps, revisions and thickness match. Start with `recut_planning`."""
