"""Working copies are made in the background, one after another, and leave nothing when stopped."""

from __future__ import annotations

import os
import sys
import threading
from concurrent.futures import CancelledError as NeverBegunError
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, NotReadableError
from capturestation.media.index import index_frames
from capturestation.media.working_copy import CopyMaker
from tests.helpers.coded_media import Traits
from tests.media.test_working_copy import clip, files


@pytest.fixture
def original(tmp_path: Path) -> Path:
    return clip(tmp_path / "swing.mp4")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "made" / "copies"


class Told:
    """A watch that waits at its first report until it may go on, and notes who reports."""

    def __init__(self) -> None:
        self.begun, self.go_on = threading.Event(), threading.Event()
        self.shares: list[float] = []
        self.niceness = 0

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        self.shares.append(share)
        if sys.platform == "linux":
            self.niceness = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
        self.begun.set()
        assert self.go_on.wait(20)


def test_a_copy_is_made_in_the_background_behind_everything_else(
    original: Path, folder: Path
) -> None:
    told = Told()
    told.go_on.set()

    with CopyMaker() as maker:
        made = maker.ask(original, folder, told).result(timeout=20)

    assert made is not None
    assert len(index_frames(made)) == 48
    assert told.shares == sorted(told.shares)
    if sys.platform == "linux":
        mine = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
        assert told.niceness == min(19, 10) > mine


def test_asking_twice_makes_one_copy(original: Path, folder: Path) -> None:
    told = Told()

    with CopyMaker() as maker:
        first = maker.ask(original, folder, told)
        assert maker.ask(original, folder) is first
        told.go_on.set()
        again = first.result(timeout=20)
        assert maker.ask(original, folder).result(timeout=20) == again

    assert again is not None
    assert files(folder) == [again.name]


def test_of_a_file_that_is_quick_as_it_is_no_copy_is_made(tmp_path: Path, folder: Path) -> None:
    quick = clip(tmp_path / "quick.mp4", Traits(key_every=1, b_frames=0))

    with CopyMaker() as maker:
        assert maker.ask(quick, folder).result(timeout=20) is None

    assert not folder.exists()


def test_closing_stops_what_is_being_made_and_what_waits(
    original: Path, folder: Path, tmp_path: Path
) -> None:
    told = Told()
    maker = CopyMaker()
    # The first report comes back only once the maker is told to stop.
    told.go_on = maker._stop
    coming = maker.ask(original, folder, told)
    waiting = maker.ask(clip(tmp_path / "next.mp4"), folder)
    assert told.begun.wait(20)

    maker.close()

    assert isinstance(coming.exception(timeout=20), CancelledError)
    with pytest.raises(NeverBegunError):
        waiting.result(timeout=20)
    assert files(folder) == []


def test_a_failure_in_the_background_is_handed_over(folder: Path, tmp_path: Path) -> None:
    with CopyMaker() as maker:
        coming = maker.ask(tmp_path / "gone.mp4", folder)

        assert isinstance(coming.exception(timeout=20), NotReadableError)
    assert not folder.exists()
