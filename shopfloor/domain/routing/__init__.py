"""Sheets, nests, cutting order, feeds and the setup sheet. Start with `sheets`."""
