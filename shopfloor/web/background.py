"""Long tasks in a thread of the server: a page asks every half second how far one is.

Owns the runs, their progress and the page that shows it, in memory only: when the server stops, a run that had not
saved is as if it had not begun, and nothing of the shop is lost. Must not know what is being done: the work is passed
as a function.

    run = background.begin("Nesting cream, 6 mm", work, key=form_key(), by=current_actor())   # work(progress) -> Answer
    background.bar(id, "nests.under_way", here="Sheets", home=…, words=…, ended=…)         # its page
"""

from __future__ import annotations

import logging
import queue
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass

from flask import Response, current_app, url_for

from ..actions.unit_of_work import Answer
from ..domain.errors import NotFound, ShopError
from ..domain.people import Actor
from ..wording import pages as wording
from ..wording.message import Message
from .page import fragment, go, show, wants_fragment

Progress = Callable[[float], None]
Work = Callable[[Progress], Answer]

# A long intake must not hold up a recut; more would only take turns on the same processors.
THREADS = 2
MOST_KEPT = 200

log = logging.getLogger("shopfloor")


@dataclass
class Run:
    """One long task. `share` goes from 0 to 1; at the end there is an `answer` or a `refusal`.

    `after` is the path to go on to, with or without an answer; what it means is up to the caller.
    """

    id: str
    title: Message
    person: int
    after: str
    share: float = 0.0
    answer: Answer | None = None
    refusal: Message | None = None

    @property
    def is_over(self) -> bool:
        """Return whether the run has an answer or was refused."""
        return self.answer is not None or self.refusal is not None


class Runs:
    """The runs of one server. A few threads, each with its own connection to the database, do them in order."""

    def __init__(self, threads: int = THREADS):
        self._threads = threads
        self._queue: queue.Queue[tuple[Run, Work]] = queue.Queue()
        self._runs: dict[str, Run] = {}
        self._by_key: dict[tuple[int, str], str] = {}
        self._lock = threading.Lock()
        self._is_started = False

    def begin(
        self, title: Message, work: Work, *, by: Actor, after: str, key: str | None = None
    ) -> Run:
        """Queue the work. A second copy of a request (the same key from the same person) gets the first one's run."""
        with self._lock:
            known = self._runs.get(self._by_key.get((by.person, key), "")) if key else None
            if known is not None:
                return known
            run = Run(secrets.token_urlsafe(12), title, by.person, after)
            self._forget_old()
            self._runs[run.id] = run
            if key:
                self._by_key[by.person, key] = run.id
            self._start()
        self._queue.put((run, work))
        return run

    def run(self, id: str) -> Run:
        """Return one run. Raises NotFound where the server was restarted since, or the run was long ago."""
        run = self._runs.get(id)
        if run is None:
            raise NotFound(wording.task_ended())
        return run

    def _forget_old(self) -> None:
        over = [id for id, run in self._runs.items() if run.is_over]
        for id in over[: max(0, len(self._runs) - MOST_KEPT)]:
            del self._runs[id]
        self._by_key = {key: id for key, id in self._by_key.items() if id in self._runs}

    def _start(self) -> None:
        if not self._is_started:
            self._is_started = True
            for number in range(self._threads):
                # A daemon: a server that must stop does not wait for a nest that can be made again.
                threading.Thread(
                    target=self._work_off, name=f"background {number + 1}", daemon=True
                ).start()

    def _work_off(self) -> None:
        while True:
            _carry_out(*self._queue.get())


def _carry_out(run: Run, work: Work) -> None:
    def progress(share: float) -> None:
        run.share = max(run.share, min(1.0, share))

    try:
        run.answer = work(progress)
    except ShopError as refusal:
        run.refusal = refusal.message
    except Exception as error:
        log.error("an unexpected error in the background", exc_info=error)
        run.refusal = wording.unexpected_in_the_background()


def runs() -> Runs:
    """Return the runs of this app."""
    runs: Runs = current_app.extensions.setdefault("runs", Runs())
    return runs


def bar(
    id: str,
    asks: str,
    *,
    here: str,
    home: str,
    words: Message,
    back_words: Message,
    ended: Callable[[Run, Answer], Response],
) -> Response:
    """Show how far a run is: its page, or where htmx asks, the part of it that changes. `asks` is that endpoint.

    `words` say what the run does, `back_words` where the link after a refusal leads. `ended` answers for a run that has an
    answer. A page that still asks for a run which no longer exists goes on to the path `home`. Raises NotFound where a person asks for such a run.
    """
    try:
        run = runs().run(id)
    except NotFound:
        if wants_fragment():
            return go(home)
        raise
    if run.answer is not None:
        return ended(run, run.answer)
    view = {
        "run": run,
        "percent": round(100 * run.share),
        "asks": url_for(asks, run=id),
        "words": words,
        "back_words": back_words,
    }
    if wants_fragment():
        return fragment("_run.html", view)
    return show("run.html", view, title=run.title, here=here)
