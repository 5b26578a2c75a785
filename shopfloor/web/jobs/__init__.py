"""Jobs, intake, revisions and the Floor. Start with `jobs`."""
