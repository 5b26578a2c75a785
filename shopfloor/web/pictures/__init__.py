"""Everything drawn on a page. Start with `pictures`."""
