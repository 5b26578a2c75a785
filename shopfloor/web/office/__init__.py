"""Settings, people, stock and reports. Start with `office`."""
