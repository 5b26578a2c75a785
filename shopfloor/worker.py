"""Runs one function in a process of its own, with limits on time and memory.

For what reads strangers' files or calls libraries that may panic: whatever happens there, the server goes on.
Messages are JSON: the parent writes one, the child answers lines of progress and one result or refusal.
"""

from __future__ import annotations

import gc
import importlib
import json
import os
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path

from .domain.errors import Refused

LARGE = 1_000_000  # bytes of one answer


class WorkerFailed(Exception):
    """The process did not answer. `why` is 'time', 'memory' or 'crash'."""

    def __init__(self, why: str):
        super().__init__(why)
        self.why = why


def call(
    target: str,
    message: dict,
    *,
    seconds: float,
    memory_mb: int = 2048,
    progress: Callable[[float], None] | None = None,
) -> dict:
    """Calls `target` ("package.module:function") with `message` in a new process and gives its answer.

    The function takes (message: dict, report: callable of a share 0..1) and returns a dict that JSON can hold.
    `seconds` is wall time, `memory_mb` address space. Raises Refused where the function refuses, WorkerFailed
    where the process dies, takes too long or too much.
    """
    with tempfile.TemporaryFile() as sent:
        sent.write(json.dumps(message).encode())
        sent.seek(0)
        child = subprocess.Popen(
            [sys.executable, "-m", "shopfloor.worker", target, str(seconds), str(memory_mb)],
            stdin=sent,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(),
        )
        return _answer(child, seconds, progress)


def _environment() -> dict[str, str]:
    here = str(Path(__file__).resolve().parent.parent)
    known = os.environ.get("PYTHONPATH")
    return {**os.environ, "PYTHONPATH": here + (os.pathsep + known if known else "")}


def _answer(child: subprocess.Popen, seconds: float, progress) -> dict:
    late = threading.Event()

    def stop() -> None:
        late.set()
        child.kill()

    timer = threading.Timer(seconds, stop)
    timer.start()
    try:
        for line in child.stdout:
            if not line.endswith(b"\n"):
                break  # killed in the middle of a word
            said = _loaded(line)
            if "progress" in said and progress:
                progress(said["progress"])
            elif "result" in said:
                return said["result"]
            elif "refused" in said:
                raise Refused(said["refused"])
            elif "failed" in said:
                raise WorkerFailed(said["failed"])
    finally:
        timer.cancel()
        child.kill()
        child.stdout.close()
        child.wait()
    raise WorkerFailed("time" if late.is_set() else "crash")


def _loaded(line: bytes) -> dict:
    """What a line says. The collector rests meanwhile: it would walk millions of new lists again and again, and hold up every
    other thread of the server."""
    if len(line) < LARGE or not gc.isenabled():
        return json.loads(line)
    gc.disable()
    try:
        return json.loads(line)
    finally:
        gc.enable()


def _limit(seconds: float, memory_mb: int) -> None:
    try:
        import resource
    except ImportError:  # Windows: the parent's clock is the only limit
        return
    memory = memory_mb * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    cores = os.cpu_count() or 1
    cpu = int(seconds * cores) + 5
    resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu))


def main(argv: list[str]) -> None:
    """The child's side."""
    target, seconds, memory_mb = argv[0], float(argv[1]), int(argv[2])
    out = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # whatever a library prints must not reach the parent as an answer
    _limit(seconds, memory_mb)

    def say(**words) -> None:
        out.write(json.dumps(words) + "\n")
        out.flush()

    module, _, name = target.partition(":")
    try:
        function = getattr(importlib.import_module(module), name)
        result = function(json.load(sys.stdin), lambda share: say(progress=share))
        say(result=result)
    except Refused as refusal:
        say(refused=refusal.sentence)
    except MemoryError:
        say(failed="memory")
    except RecursionError:
        say(failed="crash")
    except BaseException as error:  # a panic of a native library is no Exception
        sys.stderr.write(repr(error))
        say(failed="crash")


if __name__ == "__main__":
    main(sys.argv[1:])
