"""One piece: its page, its label, the Scan page. Start with `pieces`."""
