"""Work in a process of its own: whatever happens there, the caller goes on."""

from __future__ import annotations

import time

import pytest

from shopfloor import worker
from shopfloor.domain.errors import Refused

TRICKS = """
import ctypes, os, sys, time
from shopfloor.domain.errors import Refused

def answers(message, report):
    report(0.5)
    print("a library that prints")
    return {"twice": message["n"] * 2}

def refuses(message, report):
    raise Refused("The drawing is upside down: turn it round.")

def sleeps(message, report):
    time.sleep(60)

def eats(message, report):
    return {"size": len(bytearray(4 << 30))}

def dies(message, report):
    ctypes.string_at(0)

def leaves(message, report):
    os._exit(3)

def recurses(message, report):
    return recurses(message, report)

def panics(message, report):
    raise type("PanicException", (BaseException,), {})("index out of bounds")
"""


@pytest.fixture(autouse=True)
def tricks(tmp_path, monkeypatch):
    (tmp_path / "tricks.py").write_text(TRICKS)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))


def test_it_answers_and_tells_how_far_it_is():
    shares = []
    assert worker.call("tricks:answers", {"n": 21}, seconds=20, progress=shares.append) == {
        "twice": 42
    }
    assert shares == [0.5]


def test_a_refusal_there_is_a_refusal_here():
    with pytest.raises(Refused, match="upside down"):
        worker.call("tricks:refuses", {}, seconds=20)


def test_what_takes_too_long_is_stopped():
    begun = time.monotonic()
    with pytest.raises(worker.WorkerFailed) as failed:
        worker.call("tricks:sleeps", {}, seconds=1.5)
    assert failed.value.why == "time" and time.monotonic() - begun < 20


def test_what_takes_too_much_memory_is_stopped():
    with pytest.raises(worker.WorkerFailed) as failed:
        worker.call("tricks:eats", {}, seconds=20, memory_mb=512)
    assert failed.value.why == "memory"


@pytest.mark.parametrize("trick", ["dies", "leaves", "recurses", "panics", "is_not_there"])
def test_a_crash_there_is_one_error_here(trick):
    with pytest.raises(worker.WorkerFailed) as failed:
        worker.call(f"tricks:{trick}", {}, seconds=20)
    assert failed.value.why == "crash"
