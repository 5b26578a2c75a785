"""Hold-down: safety factor, tabs, onion skin and what the shop's losses teach. Start with `holding`."""
