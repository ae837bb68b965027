"""Swings analysed by a process of its own: whoever looks at pictures meanwhile is not held up.

Owns that process: its lines (a JSON object each: share and words, then done or what went wrong),
and its end. It stops when its input ends; what it finished stays. Run as
`python -m capturestation.station.analysing_apart LIBRARY CACHE SWING...`.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from capturestation import errors
from capturestation.errors import CancelledError, StationError
from capturestation.records import SwingId, Watch
from capturestation.station.analysing import Analyst
from capturestation.station.cache import Cache
from capturestation.station.models import body_model
from capturestation.station.places import open_library

PROGRAM = (sys.executable, "-m", "capturestation.station.analysing_apart")
_END_S = 10.0
_NICER = 10
# Than the window: it shows pictures meanwhile.
_NO_WINDOW = getattr(subprocess, "CREATE_NO_WINDOW", 0)


def analyse_apart(
    folder: Path, cache: Cache, swings: Sequence[SwingId], watch: Watch
) -> tuple[str, ...]:
    """Analyse swings in another process, whether they are up to date or not.

    Args:
        folder: Of the library.
        cache: Where tracks are kept.
        swings: Which.
        watch: Told how far it is; when it stops, the process ends and what is finished stays.

    Returns:
        What could not be read, a sentence each.

    Raises:
        CancelledError: If it was stopped.
        StationError: What the process met.
        OutputError: If it ended without a word.
    """
    last: dict[str, object] = {}
    with _running([*PROGRAM, str(folder), str(cache.root), *swings]) as process:
        assert process.stdout is not None
        for line in process.stdout:
            with suppress(ValueError):
                last = json.loads(line)
                share = last.get("share")
                if isinstance(share, float):
                    watch.report(share, str(last.get("words", "")))
    if "error" in last:
        raise _error(last)
    said = last.get("said")
    if not isinstance(said, list):
        raise errors.OutputError(
            "The analysis ended before it was through.",
            try_next="Analyse again; what was finished stays.",
            subject=str(folder),
        )
    return tuple(str(sentence) for sentence in said)


@contextmanager
def _running(command: list[str]) -> Iterator[subprocess.Popen[str]]:
    """A process that ends with the block, whatever happens."""
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        text=True, encoding="utf-8", errors="replace", creationflags=_NO_WINDOW,
    ) as process:  # fmt: skip
        try:
            yield process
        finally:
            assert process.stdin is not None
            with suppress(OSError):
                process.stdin.close()
            try:
                process.wait(_END_S)
            except subprocess.TimeoutExpired:
                process.kill()


def _error(told: Mapping[str, object]) -> StationError:
    """The error that the process met, as its own kind."""
    kind = getattr(errors, str(told["error"]), StationError)
    what, try_next = str(told.get("what", "")), str(told.get("try", ""))
    made = kind(what, try_next=try_next)
    assert isinstance(made, StationError)
    made.subject = str(told.get("subject", ""))
    return made


class _Told:
    """Writes how far it is, a line each; stops once its input has ended."""

    def __init__(self) -> None:
        self._ended = threading.Event()
        threading.Thread(target=self._listen, name="input", daemon=True).start()

    def report(self, share: float, words: str) -> None:
        """Write it."""
        if self._ended.is_set():
            raise CancelledError
        _put({"share": float(share), "words": words})

    def _listen(self) -> None:
        sys.stdin.read()
        self._ended.set()


def _put(value: dict[str, object]) -> None:
    sys.stdout.write(json.dumps(value) + "\n")
    sys.stdout.flush()


def main(arguments: Sequence[str]) -> None:
    """Analyse, and tell."""
    folder, cache, *names = arguments
    if hasattr(os, "nice"):
        os.nice(_NICER)
    watch = _Told()
    try:
        library = open_library(Path(folder))
        try:
            analyst = Analyst(library=library, cache=Cache(Path(cache)), model=body_model())
            swings = [library.swing(SwingId(name)) for name in names]
            found = analyst.analyse(swings, watch, again=True)
        finally:
            library.close()
    except StationError as error:
        _put(
            {
                "error": type(error).__name__,
                "what": error.what,
                "try": error.try_next,
                "subject": error.subject,
            }
        )
    else:
        _put({"said": [sentence for one in found for sentence in one.said]})


if __name__ == "__main__":
    main(sys.argv[1:])
