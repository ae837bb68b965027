"""The recording process as the station sees it: start it, tell it, hear from it, start it again.

Owns the child process and the thread that reads its lines. What it says comes out of a queue, for
whoever asks; nothing is called back. When it dies, this says so and what is lost, and starts
another with the same cameras and the same ticket.
"""

from __future__ import annotations

import contextlib
import logging
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Self

from capturestation.capture.messages import (
    Bye,
    ChangeWindows,
    Command,
    Configure,
    Fact,
    Heard,
    Ignored,
    Kept,
    Lost,
    Pause,
    Ready,
    SourceUp,
    Struck,
    fact_of,
    to_line,
)
from capturestation.errors import BadInputError, OutputError
from capturestation.records.capture import CaptureSetting

_log = logging.getLogger(__name__)

PROGRAM = (sys.executable, "-m", "capturestation.capture")
_END_S = 100.0
# A ball is kept within seconds of its last picture, on a slow disk within a minute.
_TRIES = 5
_TRIES_WITHIN_S = 20.0
_PAUSE_S = 0.3
_NOT_SAID_YET = timedelta(seconds=1)
# From a strike to the line that says it: hearing, half a second of pictures, a busy computer.
_SAME_NS = 50_000_000
# A sound's time is known better once its pictures are there.
_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OPENCV_FOR_THREADS_NUM")
# Its sums are small: more threads for one of them only take turns from those that read.
_SPARING = {
    **dict.fromkeys(_ONE_THREAD, "1"),
    "MALLOC_ARENA_MAX": "1",
    "MALLOC_MMAP_THRESHOLD_": str(1 << 19),
    "MALLOC_TRIM_THRESHOLD_": str(1 << 23),
}
# Memory that one thread fills and another empties is found again only where they share it; and what
# is large is the system's again as soon as it is let go (glibc's names; others don't know them).
_NO_WINDOW = getattr(subprocess, "CREATE_NO_WINDOW", 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Interrupted:
    """Nothing is recorded: what is struck from `since` on is not kept, until it is `Resumed`.

    Args:
        since: A second before the recording process was gone, or before what it had heard and not
            decided on: what was struck then it had not said yet.
        for_good: No other process could be started.
        said: In one sentence.
    """

    since: datetime
    for_good: bool
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Resumed:
    """A camera sends again after an interruption: what is struck from now on is kept.

    Args:
        since: When it was interrupted.
        until: Now.
        said: In one sentence.
    """

    since: datetime
    until: datetime
    said: str


Told = Fact | Interrupted | Resumed


class CaptureClient:
    """A recording process that is kept alive.

    Args:
        setting: Cameras, inbox and windows.
        program: What is run; for trials another one.

    Raises:
        OutputError: If no process can be started.

    Example:
        with CaptureClient(setting) as client:
            client.say(Ready(ticket=ticket))
            fact = client.next_fact(timeout_s=1.0)
    """

    def __init__(self, setting: CaptureSetting, *, program: Sequence[str] = PROGRAM) -> None:
        self._setting = setting
        self._program = program
        self._facts: queue.SimpleQueue[Told] = queue.SimpleQueue()
        self._lock = threading.RLock()
        self._ready: Ready | None = None
        self._struck: dict[str, Struck] = {}
        self._settled: set[str] = set()
        self._interrupted: datetime | None = None
        self._gone_since_s = 0.0
        self._undecided_ns: list[int] = []
        self._ending = False
        self._starts: list[float] = []
        self._process = self._started()
        self._thread = threading.Thread(target=self._read, name="capture client", daemon=True)
        self._thread.start()

    @property
    def pid(self) -> int:
        """The process that records now."""
        with self._lock:
            return self._process.pid

    def say(self, command: Command) -> None:
        """Tell it something; what is asked of one that just died, its follower is told anew."""
        with self._lock:
            match command:
                case Ready():
                    self._ready = command
                case Pause():
                    self._ready = None
                case ChangeWindows():
                    self._setting = replace(self._setting, windows=command.windows)
                case Configure():
                    msg = "the cameras are chosen when the client is made"
                    raise ValueError(msg)
                case _:
                    pass
            self._write(command)

    def next_fact(self, timeout_s: float) -> Told | None:
        """What it said next; None if it says nothing for so long."""
        try:
            return self._facts.get(timeout=timeout_s)
        except queue.Empty:
            return None

    def facts(self) -> list[Told]:
        """All that it said and nobody asked for yet."""
        said = []
        with contextlib.suppress(queue.Empty):
            while True:
                said.append(self._facts.get_nowait())
        return said

    def stop(self) -> None:
        """Have it finish what is struck, and wait for that."""
        with self._lock:
            self._ending = True
            self._write(Bye())
            process = self._process
            if process.stdin is not None:
                with contextlib.suppress(OSError):
                    process.stdin.close()
        try:
            process.wait(_END_S)
        except subprocess.TimeoutExpired:
            _log.warning("the recording process did not end and is stopped")
            process.kill()
            process.wait()
        self._thread.join(_END_S)
        if process.stdout is not None:
            process.stdout.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.stop()

    def _started(self) -> subprocess.Popen[bytes]:
        self._starts.append(time.monotonic())
        try:
            process = subprocess.Popen(
                self._program,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                env={**os.environ, **_SPARING},
                creationflags=_NO_WINDOW,
            )
        except OSError as error:
            raise OutputError(
                "The recording process can't be started.",
                try_next="Install the program anew.",
                subject=self._program[0],
            ) from error
        self._process = process
        self._write(Configure(setting=self._setting))
        if self._ready is not None:
            self._write(self._ready)
        return process

    def _write(self, command: Command) -> None:
        stream = self._process.stdin
        assert stream is not None
        # One that just died hears nothing; the thread that reads sees it and starts another.
        with contextlib.suppress(OSError, ValueError):
            stream.write(to_line(command).encode())
            stream.flush()

    def _read(self) -> None:
        while True:
            process = self._process
            assert process.stdout is not None
            for line in process.stdout:
                self._take(line)
            with self._lock:
                ending = self._ending
            if ending:
                self._settle_struck()
                return
            if not self._begun_anew(process):
                return

    def _take(self, line: bytes) -> None:
        try:
            fact = fact_of(line.decode("utf-8", "replace"))
        except BadInputError as error:
            _log.warning("the recording process said what is not known: %s", error)
            return
        match fact:
            case Heard():
                self._undecided_ns.append(fact.candidate.at_host_ns)
            case Ignored():
                self._decide(fact.at_host_ns)
            case Struck():
                self._decide(fact.at_host_ns)
                self._struck[fact.id] = fact
            case Kept() | Lost() if fact.id in self._settled:
                return
            case Kept() | Lost():
                self._struck.pop(fact.id, None)
            case SourceUp() if self._interrupted is not None:
                self._resume(self._interrupted)
            case _:
                pass
        self._facts.put(fact)

    def _decide(self, at_ns: int) -> None:
        """What was heard is looked at in its order: all up to here is decided."""
        later_ns = at_ns + _SAME_NS
        self._undecided_ns = [at for at in self._undecided_ns if at > later_ns]

    def _not_said_since(self) -> datetime:
        """From when on a ball may have been struck of which nothing was said."""
        ago = _NOT_SAID_YET
        if self._undecided_ns:
            heard_ago_us = (time.perf_counter_ns() - min(self._undecided_ns)) / 1000
            ago = max(ago, timedelta(microseconds=heard_ago_us) + _NOT_SAID_YET / 2)
        self._undecided_ns.clear()
        return datetime.now().astimezone() - ago

    def _resume(self, since: datetime) -> None:
        self._interrupted = None
        until = datetime.now().astimezone()
        # Not by the clock on the wall, which may have been set meanwhile.
        gone_s = time.monotonic() - self._gone_since_s + _NOT_SAID_YET.total_seconds()
        said = f"The recording goes on; what was struck in the last {gone_s:.0f} s is not kept."
        self._facts.put(Resumed(since=since, until=until, said=said))

    def _begun_anew(self, dead: subprocess.Popen[bytes]) -> bool:
        """Say what is lost with a process that died, and start another."""
        since = self._not_said_since()
        dead.wait()
        for stream in (dead.stdin, dead.stdout):
            if stream is not None:
                with contextlib.suppress(OSError):
                    stream.close()
        self._settle_struck()
        recent = [at for at in self._starts if at > time.monotonic() - _TRIES_WITHIN_S]
        if len(recent) >= _TRIES:
            self._interrupt(
                since, "The recording ended again and again; it is given up.", for_good=True
            )
            return False
        self._interrupt(since, "The recording stopped and is begun anew.", for_good=False)
        time.sleep(_PAUSE_S)
        with self._lock:
            if self._ending:
                return False
            try:
                self._started()
            except OutputError as error:
                self._interrupt(since, str(error), for_good=True)
                return False
        return True

    def _interrupt(self, since: datetime, said: str, *, for_good: bool) -> None:
        if self._interrupted is None:
            self._gone_since_s = time.monotonic()
        since = self._interrupted or since
        self._interrupted = since
        self._facts.put(Interrupted(since=since, for_good=for_good, said=said))

    def _settle_struck(self) -> None:
        """Each ball that was being kept is kept by now, or it is lost."""
        for struck in self._struck.values():
            folder = Path(self._setting.inbox) / struck.id
            self._settled.add(struck.id)
            if folder.is_dir():
                size_mb = sum(file.stat().st_size for file in folder.iterdir()) / 1e6
                self._facts.put(
                    Kept(
                        id=struck.id,
                        folder=str(folder),
                        size_mb=size_mb,
                        after_ms=0.0,
                        missing=0,
                    )
                )
                continue
            self._facts.put(
                Lost(
                    struck_at=struck.struck_at,
                    why="The recording was cut off while this ball was being kept.",
                    try_next="Hit it again; whatever is struck from now on is kept.",
                    id=struck.id,
                )
            )
        self._struck.clear()
