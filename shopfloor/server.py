"""Serves the application: one process, threads, a clean stop. Prints nothing; must not know what it serves."""

from __future__ import annotations

import logging
import signal
import socket
import ssl
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from cheroot import errors, wsgi
from cheroot.ssl.builtin import BuiltinSSLAdapter
from flask import Flask

from .web.bench.climate import watch_the_thermometer
from .web.security import LARGEST_READ

THREADS = 32
TIMEOUT = 5  # seconds that a silent connection is kept
LAST_ACTS = 30  # seconds for the answers under way at the stop; the acts themselves end in any case

log = logging.getLogger("shopfloor.server")


class PatientTLS(BuiltinSSLAdapter):
    """TLS whose handshake runs in the thread that serves the connection.

    In the loop that accepts connections one silent client would stop all the others.
    """

    def wrap(self, sock: socket.socket) -> tuple[ssl.SSLSocket, dict[str, str]]:
        """Wrap the socket; its handshake is still to come."""
        try:
            wrapped = self.context.wrap_socket(
                sock, server_side=True, do_handshake_on_connect=False
            )
        except OSError as error:
            raise errors.FatalSSLAlert(*error.args) from error
        return wrapped, {
            "wsgi.url_scheme": "https",
            "HTTPS": "on",
        }  # the cipher is known only after the handshake


def make_server(
    app: Flask, host: str, port: int, *, tls: tuple[str, str] | None = None
) -> wsgi.Server:
    """Make a server, not yet listening. `tls` names the files of the certificate and its key."""
    server = wsgi.Server(
        (host, port),
        app,
        numthreads=THREADS,
        server_name="shopfloor",
        timeout=TIMEOUT,
        shutdown_timeout=LAST_ACTS,
        request_queue_size=128,
    )
    server.max_request_body_size = LARGEST_READ
    setattr(server, "error_log", _log)  # noqa: B010 - cheroot wants its method replaced
    if tls is not None:
        server.ssl_adapter = PatientTLS(*tls)
        server.ssl_adapter.context.minimum_version = ssl.TLSVersion.TLSv1_2
    return server


def _log(message: str = "", level: int = logging.INFO, traceback: bool = False) -> None:
    if message.startswith(
        "socket.error"
    ):  # a tablet that went away, or one that does not trust the certificate
        level = logging.DEBUG
    log.log(level, message, exc_info=traceback)


def serve(
    app: Flask,
    host: str,
    port: int,
    *,
    tls: tuple[str, str] | None = None,
    ready: Callable[[str, int], None] | None = None,
) -> None:
    """Serve until SIGTERM or SIGINT; then the acts under way are finished and answered, and the database is closed.

    `ready` is called with the host and the port (chosen by the system where `port` is 0) once connections are accepted.
    Raises OSError where the port is not free.
    """
    server = make_server(app, host, port, tls=tls)
    stopper = threading.Thread(target=server.stop, name="stop")
    readings_end = watch_the_thermometer(app)
    try:
        server.prepare()
        with _stopped_by_signals(stopper):
            if ready is not None:
                ready(*server.bind_addr[:2])
            server.serve()
            if stopper.ident is not None:
                stopper.join()  # it waits for the acts under way
    finally:
        readings_end.set()
        app.extensions["shop"].database.close()


@contextmanager
def _stopped_by_signals(stopper: threading.Thread) -> Iterator[None]:
    """Let SIGTERM and SIGINT start `stopper`, once. Outside the main thread signals are left alone."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(*_: object) -> None:
        if stopper.ident is None:
            stopper.start()

    before = {number: signal.signal(number, stop) for number in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
