"""Tablets made up: each keeps one connection, signs in as a person does, and sends what a page would send.

Owns how a request is sent and timed. Must not know what is measured with it.
"""

from __future__ import annotations

import secrets
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPException, HTTPResponse
from typing import IO, NamedTuple, TypeVar
from urllib.parse import urlencode

PATIENCE = 60  # seconds; a server that does not answer by then ends the run with an error


class Tablet:
    """One keep-alive connection with its cookies."""

    def __init__(self, port: int):
        self.origin = f"http://127.0.0.1:{port}"
        self.line = HTTPConnection("127.0.0.1", port, timeout=PATIENCE)
        self.cookies: dict[str, str] = {}

    def get(self, path: str) -> tuple[int, bytes]:
        """Asks for a page."""
        return self._send("GET", path, None, {"Accept-Encoding": "gzip"})

    def post(self, path: str, **fields: str) -> tuple[int, bytes]:
        """Sends a form as htmx does, with a fresh key."""
        form = urlencode({"key": secrets.token_hex(16), **fields})
        return self._send(
            "POST",
            path,
            form,
            {
                "Content-Type": "application/x-www-form-urlencoded",
                "Origin": self.origin,
                "HX-Request": "true",
            },
        )

    def sign_in(self, person: int, pin: str) -> None:
        """Signs in. Raises RuntimeError where the server does not let this person in."""
        status, _ = self.post(f"/sign-in/{person}", pin=pin)
        if status >= 400 or not self.cookies:
            raise RuntimeError(f"Signing in was answered with {status}.")

    def close(self) -> None:
        """Hangs up."""
        self.line.close()

    def _send(
        self, method: str, path: str, body: str | None, headers: dict[str, str]
    ) -> tuple[int, bytes]:
        if self.cookies:
            headers["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            answer, text = self._asked(method, path, body, headers)
        except (
            ConnectionError,
            HTTPException,
        ):  # the server hangs up on a line that was idle; the form's key makes it one act
            self.line.close()
            answer, text = self._asked(method, path, body, headers)
        for cookie in answer.headers.get_all("Set-Cookie") or ():
            name, _, value = cookie.partition(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, text

    def _asked(
        self, method: str, path: str, body: str | None, headers: dict[str, str]
    ) -> tuple[HTTPResponse, bytes]:
        self.line.request(method, path, body, headers)
        answer = self.line.getresponse()
        return answer, answer.read()


class Burst(NamedTuple):
    """What some tablets did together: how long it took, and each answer's time, in seconds."""

    seconds: float
    answers: list[float]

    @property
    def a_second(self) -> float:
        """Answers a second."""
        return len(self.answers) / self.seconds


Thing = TypeVar("Thing")


def together(
    tablets: Sequence[Tablet],
    work: Sequence[Sequence[Thing]],
    send: Callable[[Tablet, Thing], tuple[int, bytes]],
) -> Burst:
    """Each tablet sends its share of `work`, one thing after the other, all tablets at once.

    Raises RuntimeError where an answer is not 200: what was refused must not count as quick.
    """
    times: list[float] = []
    wrong: list[str] = []

    def run(tablet: Tablet, share: Sequence[Thing]) -> None:
        for thing in share:
            begun = time.perf_counter()
            status, text = send(tablet, thing)
            times.append(time.perf_counter() - begun)
            if status != 200:
                wrong.append(f"{status} {text[:200]!r}")
                return

    threads = [threading.Thread(target=run, args=pair) for pair in zip(tablets, work, strict=True)]
    begun = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    seconds = time.perf_counter() - begun
    if wrong:
        raise RuntimeError(f"The server answered {wrong[0]}.")
    return Burst(seconds, times)


@contextmanager
def server(module: str, *words: str) -> Iterator[IO[str]]:
    """What a process of this Python prints, which serves until the end of the block."""
    process = subprocess.Popen(
        [sys.executable, "-m", module, *words], stdout=subprocess.PIPE, text=True
    )
    printed = process.stdout
    if printed is None:
        raise RuntimeError("The server's output was not piped.")
    try:
        yield printed
    finally:
        process.terminate()
        try:
            process.wait(PATIENCE)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        printed.close()
