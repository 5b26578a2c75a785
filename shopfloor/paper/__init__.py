"""Everything that is printed: labels, setup sheets, records, templates at full size."""
