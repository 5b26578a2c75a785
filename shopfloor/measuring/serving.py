"""The server that marks are measured on, in a process of its own: `python -m shopfloor.measuring.serving SHOP BARE`.

The shop's application, and beside it under /bare the least that could be compared with: one Flask route that writes one
row into a database of its own. Same process, same threads, same disk. Says its port on standard output.
"""

from __future__ import annotations

import sys
import threading

from flask import Flask, request
from werkzeug.middleware.dispatcher import DispatcherMiddleware

from ..app import create_app
from ..server import serve
from ..store.db import Database, connect


def bare_app(path: str) -> Flask:
    """A Flask application with one route that writes one row."""
    app = Flask("bare")
    own, lock = threading.local(), threading.Lock()
    connect(path).execute(
        "CREATE TABLE mark (id INTEGER PRIMARY KEY, code TEXT NOT NULL, mark TEXT NOT NULL)"
    )

    @app.post("/mark")
    def mark() -> str:
        if not hasattr(own, "db"):
            own.db = connect(path)
        with lock:
            own.db.execute("BEGIN IMMEDIATE")
            own.db.execute(
                "INSERT INTO mark (code, mark) VALUES (?, ?)",
                (request.form["code"], request.form["mark"]),
            )
            own.db.execute("COMMIT")
        return "Marked."

    return app


def main(shop: str, bare: str) -> None:
    """Serves both until SIGTERM."""
    app = create_app(Database(shop, create=False))
    both = DispatcherMiddleware(app.wsgi_app, {"/bare": bare_app(bare)})
    app.wsgi_app = both  # type: ignore[method-assign]  # Flask's own way to wrap an application
    serve(app, "127.0.0.1", 0, ready=lambda host, port: print(port, flush=True))


if __name__ == "__main__":
    main(*sys.argv[1:])
