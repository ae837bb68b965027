"""Many may share a library; one alone may repair it."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.library.turn import Turn
from tests.helpers.library_records import a_student


def test_the_first_is_alone_and_the_others_share(tmp_path: Path) -> None:
    first = Turn(tmp_path / "lock")
    assert first.alone
    first.share()

    second, third = Turn(tmp_path / "lock"), Turn(tmp_path / "lock")

    assert (first.alone, second.alone, third.alone) == (False, False, False)
    for turn in (first, second, third):
        turn.release()


def test_when_all_have_left_the_next_is_alone(tmp_path: Path) -> None:
    first = Turn(tmp_path / "lock")
    first.share()
    Turn(tmp_path / "lock").release()
    first.release()

    again = Turn(tmp_path / "lock")

    assert again.alone
    again.release()


def test_while_one_repairs_the_others_wait_and_then_say_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.library.turn._WAIT_MS", 0)
    first = Turn(tmp_path / "lock")

    with pytest.raises(LibraryError, match="in use by another program"):
        Turn(tmp_path / "lock")

    assert first.alone
    first.release()


def test_several_threads_may_use_one_open_library(library: Library) -> None:
    def add(number: int) -> None:
        for turn in range(5):
            library.add_student(a_student(f"Student {number} {turn}"))

    threads = [threading.Thread(target=add, args=(n,), name=f"adds {n}") for n in range(4)]

    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=30)

    assert len(library.students()) == 20
