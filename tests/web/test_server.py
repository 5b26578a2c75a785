"""The real server in a process of its own: a clean stop, silent clients, large uploads."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from shopfloor.store import ledger, replay, settings
from shopfloor.store.db import Database

HERE = Path(__file__).parent


@pytest.fixture
def start(tmp_path):
    """Starts a server; gives the process and its port."""
    started = []

    def run(*words: str):
        process = subprocess.Popen(
            [sys.executable, str(HERE / "serve_slowly.py"), str(tmp_path / "shop.db"), *words],
            stdout=subprocess.PIPE,
            text=True,
            cwd=HERE.parents[1],
            env={**os.environ, "PYTHONPATH": str(HERE.parents[1])},
        )
        started.append(process)
        return process, int(process.stdout.readline())

    yield run
    for process in started:
        process.kill()
        process.wait()
        process.stdout.close()


def post(port: int, path: str, body: bytes = b"", **headers: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    connection.request("POST", path, body, {"Origin": f"http://127.0.0.1:{port}", **headers})
    answer = connection.getresponse()
    text = answer.read().decode()
    connection.close()
    return answer.status, text


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "SIGINT"])
def test_a_stop_finishes_and_answers_the_act_under_way(start, tmp_path, number):
    process, port = start()
    answers = []
    asking = threading.Thread(target=lambda: answers.append(post(port, "/slow")))
    asking.start()
    assert process.stdout.readline() == "begun\n"
    process.send_signal(number)
    asking.join(timeout=15)
    assert answers == [(200, "It is done.")]
    assert process.wait(timeout=15) == 0
    assert process.stdout.read() == "stopped\n"
    assert not Path(f"{tmp_path / 'shop.db'}-wal").exists(), (
        "the database was closed, its log written back"
    )
    database = Database(tmp_path / "shop.db", create=False)
    assert settings.load(database.read()).shop_name == "Slow Signs"
    assert (ledger.newest(database.read()), replay.differences(database.read())) == (2, [])
    database.close()


def test_a_stop_does_not_wait_for_silent_clients(start):
    process, port = start()
    silent = [socket.create_connection(("127.0.0.1", port)) for _ in range(5)]
    time.sleep(0.2)
    process.send_signal(signal.SIGTERM)
    process.send_signal(signal.SIGTERM)
    assert process.wait(timeout=20) == 0
    for connection in silent:
        connection.close()


def test_more_than_20_mb_is_answered_with_the_sentence_not_with_a_broken_line(start):
    _, port = start()
    status, text = post(port, "/sign-in/1", b"x" * (21 * 1024 * 1024), **{"HX-Request": "true"})
    assert status == 413
    assert "The file is over 20 MB. Choose a smaller one." in text


def test_silent_clients_do_not_hold_up_the_others_over_tls(start):
    _, port = start("tls")
    silent = [socket.create_connection(("127.0.0.1", port)) for _ in range(20)]
    trust = ssl.create_default_context(cafile=str(HERE / "localhost.pem"))
    # A handshake in the accepting loop would wait seconds for each of them: more than the timeout.
    connection = http.client.HTTPSConnection("localhost", port, timeout=20, context=trust)
    connection.request("GET", "/sign-in")
    answer = connection.getresponse()
    assert (answer.status, answer.getheader("Location")) == (303, "/first-visit")
    connection.close()
    for client in silent:
        client.close()
