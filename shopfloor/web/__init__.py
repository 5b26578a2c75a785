"""The pages: the only Flask of the project beside app.py."""
