"""A process of its own analyses swings, says how far it is, and ends when it is stopped."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import CancelledError, NotFoundError
from capturestation.records import StopAfter, SwingId
from capturestation.station.analysing import of_measures
from capturestation.station.analysing_apart import analyse_apart
from tests.helpers.looked_at import Room


class Hears:
    """Remembers what it was told."""

    def __init__(self) -> None:
        self.shares: list[float] = []

    def report(self, share: float, words: str) -> None:
        assert words
        self.shares.append(share)


def test_a_swing_is_analysed_by_a_process_of_its_own(looked_at: Room) -> None:
    hears = Hears()

    said = analyse_apart(looked_at.library.folder, looked_at.cache, [looked_at.swing_id], hears)

    results = looked_at.library.swing(looked_at.swing_id).book.results
    # The small files show a club and a ball, and nobody.
    assert [line.partition(" in the ")[0] for line in said] == ["Nobody is seen"] * 2
    assert of_measures(results)
    assert hears.shares[-1] == 1.0


def test_a_stop_ends_it_and_is_told_as_a_stop(looked_at: Room) -> None:
    with pytest.raises(CancelledError):
        analyse_apart(
            looked_at.library.folder, looked_at.cache, [looked_at.swing_id], StopAfter(0.0)
        )

    results = looked_at.library.swing(looked_at.swing_id).book.results
    assert not of_measures(results)


def test_what_it_meets_comes_back_as_its_own_error(looked_at: Room, tmp_path: Path) -> None:
    with pytest.raises(NotFoundError) as told:
        analyse_apart(tmp_path / "nowhere", looked_at.cache, [SwingId("abcdefgh2345")], Hears())

    assert told.value.try_next
