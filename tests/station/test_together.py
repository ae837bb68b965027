from __future__ import annotations

import threading

import pytest

from capturestation.errors import CancelledError, NotReadableError
from capturestation.records import Quiet, StopAfter, Watch
from capturestation.station.together import at_once


class Told:
    """A watch that keeps who told it what."""

    def __init__(self) -> None:
        self.shares: list[float] = []
        self.threads: set[int] = set()

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        self.shares.append(share)
        self.threads.add(threading.get_ident())


def until_stopped(watch: Watch) -> str:
    while True:
        watch.report(0.5, "")


def no_piece_runs() -> bool:
    return not [t for t in threading.enumerate() if t.name.startswith("piece")]


def test_pieces_run_at_the_same_time_and_come_back_in_order() -> None:
    meeting = threading.Barrier(2, timeout=10)

    def piece(word: str) -> str:
        meeting.wait()
        return word

    assert at_once([lambda _: piece("a"), lambda _: piece("b")], Quiet(), "") == ("a", "b")


def test_the_watch_hears_from_the_calling_thread_only_and_shares_rise() -> None:
    told = Told()

    at_once([lambda watch: watch.report(1.0, "")] * 2, told, "")

    assert told.threads == {threading.get_ident()}
    assert told.shares == sorted(told.shares)
    assert told.shares[-1] == 1.0


def test_a_stop_ends_every_piece() -> None:
    with pytest.raises(CancelledError):
        at_once([until_stopped, until_stopped], StopAfter(0.25), "")

    assert no_piece_runs()


def test_the_failure_of_one_piece_stops_the_other_and_is_told() -> None:
    def fails(_: Watch) -> str:
        raise NotReadableError("a.mp4 is empty.", try_next="Copy it again.")

    with pytest.raises(NotReadableError, match=r"a\.mp4"):
        at_once([until_stopped, fails], Quiet(), "")

    assert no_piece_runs()
