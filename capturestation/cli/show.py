"""What commands share: the library option, tables or JSON, progress and the stop key."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import ParamSpec, TypeVar

import click
from tabulate import tabulate

from capturestation.cli.parameters import Folder
from capturestation.cli.say import json_text, put, put_aside
from capturestation.errors import CancelledError
from capturestation.library import Library
from capturestation.records import to_plain
from capturestation.station.places import default_library, open_library

P = ParamSpec("P")
R = TypeVar("R")
STOP = threading.Event()
"""Set by the stop key; the running job sees it at its next report."""
LISTENING = threading.Event()
"""Set while a job runs that looks at `STOP`."""


def library_option(command: Callable[P, R]) -> Callable[P, R]:
    """Add `--library`."""
    return click.option(
        "--library",
        type=Folder(),
        envvar="CAPTURESTATION_LIBRARY",
        default=default_library,
        help="Folder of the library; else CAPTURESTATION_LIBRARY, else your own data folder.",
    )(command)


def json_option(command: Callable[P, R]) -> Callable[P, R]:
    """Add `--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON value.")(command)


@contextmanager
def opened(folder: Path, *, begin: bool = False) -> Iterator[Library]:
    """The library of that folder, closed afterwards.

    Args:
        folder: Its folder.
        begin: Whether to make a new one there: a mistyped folder should be told, not made.
    """
    library = open_library(folder, begin=begin)
    try:
        yield library
    finally:
        library.close()


def show(value: object, *, as_json: bool, text: str) -> None:
    """Print JSON, or the text for people."""
    put(json_text(to_plain(value), indent=2) if as_json else text)


def table(rows: Sequence[Sequence[object]], headers: Sequence[str]) -> str:
    """A plain table, or one line where there is nothing."""
    if not rows:
        return "Nothing yet."
    return tabulate(
        [["" if cell is None else str(cell) for cell in row] for row in rows],
        headers=headers,
        tablefmt="simple",
        disable_numparse=True,
    )


class TerminalWatch:
    """Shows one line of progress where a person looks on, and hears the stop key."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()

    def report(self, share: float, words: str) -> None:
        """Draw the line; stop where asked."""
        if STOP.is_set():
            raise CancelledError
        if self._shown:
            put_aside(f"\r\033[K{share:4.0%}  {words[:70]}", line_end=False)

    def done(self) -> None:
        """Take the line away."""
        if self._shown:
            put_aside("\r\033[K", line_end=False)


@contextmanager
def watching() -> Iterator[TerminalWatch]:
    """A watch for one job."""
    watch = TerminalWatch()
    LISTENING.set()
    try:
        yield watch
    finally:
        LISTENING.clear()
        watch.done()


def be_sure(question: str) -> None:
    """Ask before something is deleted.

    Raises:
        CancelledError: If the answer is no, or nobody is there to answer.
    """
    try:
        agreed = click.confirm(question, err=True)
    except click.Abort:
        put_aside("")
        agreed = False
    if not agreed:
        raise CancelledError("Nothing was deleted.", try_next="To delete, answer y or add --yes.")


def counted(count: int, thing: str) -> str:
    """How many of a thing.

    Example:
        >>> counted(1, "swing"), counted(2, "swing")
        ('1 swing', '2 swings')
    """
    return f"{count} {thing}{'' if count == 1 else 's'}"


def seconds(ns: int | None) -> str:
    """A time from impact in seconds, signed, to the millisecond.

    Example:
        >>> seconds(-112_400_000)
        '-0.112'
    """
    return "" if ns is None else f"{ns / 1e9:+.3f}"


def to_ns(value_s: float) -> int:
    """Seconds as typed, in whole nanoseconds."""
    return round(value_s * 1e9)
