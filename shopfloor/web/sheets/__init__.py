"""Sheets on the router, setup sheets, recuts and hold-down. Start with `sheets`."""
