"""From outlines to a proposal: signs, levels, families, preflight. Start with `stacking`."""
