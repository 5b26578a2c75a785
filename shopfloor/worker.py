"""Runs one function in a process of its own, with limits on time and memory.

For code that reads unknown files or calls libraries that may panic: whatever happens there, the server goes on.
They talk in JSON: the parent sends one request, the child answers lines of progress and one result or refusal.
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
from typing import Any

from .domain.errors import Refused
from .wording.message import as_dict, of_dict

Json = dict[str, Any]
Progress = Callable[[float], None]

LARGE = 1_000_000  # bytes of one answer


class WorkerFailed(Exception):
    """The process did not answer. `why` is 'time', 'memory' or 'crash'."""

    def __init__(self, why: str) -> None:
        super().__init__(why)
        self.why = why


def call(
    target: str,
    request: Json,
    *,
    seconds: float,
    memory_mb: int = 2048,
    progress: Progress | None = None,
) -> Json:
    """Call `target` ("package.module:function") with `request` in a new process and return its answer.

    The function takes (request: dict, report: callable of a share 0..1) and returns a dict that JSON can hold.
    `seconds` is wall time, `memory_mb` address space. Raises Refused where the function refuses, WorkerFailed
    where the process dies, takes too long or too much.
    """
    with tempfile.TemporaryFile() as sent:
        sent.write(json.dumps(request).encode())
        sent.seek(0)
        child = subprocess.Popen(  # noqa: S603 - our own module, by this Python
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


def _answer(child: subprocess.Popen[bytes], seconds: float, progress: Progress | None) -> Json:
    lines = child.stdout
    if lines is None:
        raise ValueError("the child was started without a pipe")
    late = threading.Event()

    def stop() -> None:
        late.set()
        child.kill()

    timer = threading.Timer(seconds, stop)
    timer.start()
    try:
        for line in lines:
            if not line.endswith(b"\n"):
                break  # killed in the middle of a line
            answer = _loaded(line)
            if "progress" in answer and progress:
                progress(answer["progress"])
            elif "result" in answer:
                result: Json = answer["result"]
                return result
            elif "refused" in answer:
                raise Refused(of_dict(answer["refused"]))
            elif "failed" in answer:
                raise WorkerFailed(answer["failed"])
    finally:
        timer.cancel()
        child.kill()
        lines.close()
        child.wait()
    raise WorkerFailed("time" if late.is_set() else "crash")


def _loaded(line: bytes) -> Json:
    """Read one line of the child.

    The garbage collector is off for a large one: it would walk millions of new lists repeatedly, and hold up every other
    thread of the server.
    """
    is_paused = len(line) >= LARGE and gc.isenabled()
    if is_paused:
        gc.disable()
    try:
        answer: Json = json.loads(line)
        return answer
    finally:
        if is_paused:
            gc.enable()


def _limit(seconds: float, memory_mb: int) -> None:
    try:
        import resource  # noqa: PLC0415 - Windows has none
    except ImportError:  # then the parent's clock is the only limit
        return
    memory = memory_mb * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    cores = os.cpu_count() or 1
    cpu = int(seconds * cores) + 5
    resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu))


def main(argv: list[str]) -> None:
    """Run the child's side."""
    target, seconds, memory_mb = argv[0], float(argv[1]), int(argv[2])
    out = os.fdopen(os.dup(1), "w")
    os.dup2(2, 1)  # what a library prints must not reach the parent as an answer
    _limit(seconds, memory_mb)

    def send(**answer: object) -> None:
        out.write(json.dumps(answer) + "\n")
        out.flush()

    module, _, name = target.partition(":")
    try:
        function = getattr(importlib.import_module(module), name)
        result = function(json.load(sys.stdin), lambda share: send(progress=share))
        send(result=result)
    except Refused as refusal:
        send(refused=as_dict(refusal.message))
    except MemoryError:
        send(failed="memory")
    except RecursionError:
        send(failed="crash")
    except BaseException as error:  # a panic of a native library is not an Exception
        sys.stderr.write(repr(error))
        send(failed="crash")


if __name__ == "__main__":
    main(sys.argv[1:])
