"""The bench: a sign's steps, gluing, cure, finishing, trays. Start with `bench`."""
