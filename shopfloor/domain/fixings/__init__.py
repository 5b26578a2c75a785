"""Dissimilar materials, thermal expansion and screws. Start with `expansion`."""
