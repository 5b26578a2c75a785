"""Steps, gluing, cure, finishing, trays and the record of a sign. Start with `steps`."""
