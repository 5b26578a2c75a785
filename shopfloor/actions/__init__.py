"""One function a thing that a person does; each is one transaction and one row in the ledger."""
