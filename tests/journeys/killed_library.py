"""A process that works on a library and kills itself at the step that it was told.

A step is anything that reaches the disk: a file opened, written, flushed, renamed or removed, a
statement handed to SQLite. It says what it has finished; told 0 it ends with the count of
all steps.
"""

from __future__ import annotations

import os
import signal
import sys
from dataclasses import replace
from pathlib import Path

from capturestation.folders import read_book, read_swing_facts
from capturestation.library import Library
from capturestation.records import Quiet, SwingId

WATCHED = ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir")


class Steps:
    """Counts steps and dies at one of them."""

    def __init__(self, last: int) -> None:
        self.last = last
        self.done = 0
        self.counting = False

    def take(self) -> None:
        """One more step."""
        if self.counting:
            self.done += 1
            if self.done == self.last:
                os.kill(os.getpid(), signal.SIGKILL)

    def audit(self, event: str, _: object) -> None:
        """Count what Python tells of."""
        if event in WATCHED:
            self.take()

    def watch_flushes(self) -> None:
        """Count flushes, before and after each, which Python does not tell of."""
        flush = os.fsync

        def counted(number: int) -> None:
            self.take()
            flush(number)
            self.take()

        setattr(os, "fsync", counted)  # noqa: B010 - a narrower type than the real one's


def work(folder: Path, job: Path, leaving: SwingId, steps: Steps) -> None:
    """Take a swing in, star it, and delete another."""
    with Library.open(folder) as library:
        library._db.conn.set_trace_callback(lambda _: steps.take())
        facts, book = read_swing_facts(job), read_book(job)
        media = {r.view: job / r.file for r in facts.recordings}
        steps.counting = True
        library.keep_swing(facts, book, media, Quiet())
        say("kept")
        library.save_book(replace(book, starred=True))
        say("starred")
        library.delete_swing(leaving)
        say("deleted")
        steps.counting = False


def say(word: str) -> None:
    """Tell the parent what is promised to last from here on."""
    sys.stdout.write(word + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    counted = Steps(int(sys.argv[4]))
    sys.addaudithook(counted.audit)
    counted.watch_flushes()
    work(Path(sys.argv[1]), Path(sys.argv[2]), SwingId(sys.argv[3]), counted)
    sys.stdout.write(str(counted.done))
