"""A server for test_server.py: `python serve_slowly.py DATABASE [tls]`. Says its port, and when the act has begun."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from shopfloor.actions.unit_of_work import Answer, Caller, command
from shopfloor.app import create_app
from shopfloor.server import serve
from shopfloor.store import people, settings
from shopfloor.store.db import Database
from shopfloor.web.security import without_sign_in
from shopfloor.wording.message import plain


@command("dawdled")
def dawdle(transaction) -> Answer:
    settings.write(transaction.db, "shop_name", "Slow Signs")
    print("begun", flush=True)
    time.sleep(1.0)
    return Answer(plain("It is done."))


def main(database: str, *words: str) -> None:
    app = create_app(Database(database))
    shop = app.extensions["shop"]

    @app.post("/slow")
    @without_sign_in
    def slow():
        return dawdle(Caller(shop, people.owner_by(shop.read()))).sentence

    certificate = str(Path(__file__).with_name("localhost.pem"))
    serve(
        app,
        "127.0.0.1",
        0,
        tls=(certificate, certificate) if words else None,
        ready=lambda host, port: print(port, flush=True),
    )
    print("stopped", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
