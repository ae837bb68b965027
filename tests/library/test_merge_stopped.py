"""A merge that stops anywhere leaves whole things, and run again it brings the rest."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import CancelledError, OutputError
from capturestation.library import (
    Library,
    Outcome,
    merge_library,
)
from capturestation.records import Quiet, StopAfter
from tests.helpers.random_library import grow
from tests.library.test_merge import states
from tests.library.test_rebuild import everything


@pytest.fixture
def two_random(library: Library, tmp_path: Path, originals: Path, unflushed: None) -> Path:
    """Two libraries of random records; the open one and one more."""
    grow(library, originals, 1, students=2, swings=6)
    with Library.open(tmp_path / "other") as other:
        grow(other, originals, 2, students=3, swings=12)
    return tmp_path / "other"


def test_a_merge_holds_all_rows_of_both(library: Library, two_random: Path) -> None:
    ours = everything(library)
    with Library.open(two_random) as other:
        theirs = everything(other)

    merge_library(library, two_random, Quiet())

    assert everything(library) == {t: sorted(ours[t] + theirs[t]) for t in ours}
    assert library.check(Quiet()).sound


@pytest.mark.parametrize("share", [0.0, 0.2, 0.45, 0.7, 0.9])
def test_a_stopped_merge_has_whole_things_only_and_goes_on_when_run_again(
    library: Library, two_random: Path, share: float
) -> None:
    before = states(two_random)
    with Library.open(two_random) as other:
        theirs = everything(other)
        swings = {s.id: s for p in other.students() for s in other.swings_of(p.id)}
    ours = everything(library)

    with pytest.raises(CancelledError, match=r"\d+ things had come whole") as stopped:
        merge_library(library, two_random, StopAfter(share))

    assert stopped.value.try_next == "Run it again to bring the rest."
    assert library.check(Quiet()).sound
    came = [s for p in library.students() for s in library.swings_of(p.id) if s.id in swings]
    assert all(swing == swings[swing.id] for swing in came)
    merge_library(library, two_random, Quiet())
    assert everything(library) == {t: sorted(ours[t] + theirs[t]) for t in ours}
    assert states(two_random).keys() == before.keys()


def test_a_full_disk_stops_a_merge_between_two_things(
    library: Library, two_random: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Library.keep_swing
    calls = []

    def full(*args: object) -> object:
        calls.append(args)
        if len(calls) == 4:
            raise OutputError("No room.", try_next="")
        return real(*args)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(Library, "keep_swing", full)
        with pytest.raises(OutputError):
            merge_library(library, two_random, Quiet())

    assert library.check(Quiet()).sound
    assert len(merge_library(library, two_random, Quiet()).of(Outcome.NEW)) == 12 - 3
