"""A student's measures over weeks: which swings count, the table and the charts on the disk."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, CancelledError, NotFoundError, OutputError
from capturestation.library import Library
from capturestation.records import Measured, Quiet, Result, StopAfter, Swing, SwingKind
from capturestation.station import people
from capturestation.station.weeks import since_words, weeks_csv, weeks_of, write_weeks
from tests.helpers.small_disk import files_up_to
from tests.helpers.station_library import NAME, Filled

pytestmark = pytest.mark.usefixtures("qapp")
TURN = "pelvis turn, top"


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    """The best lies in a lesson of September, today's in another; both are measured."""
    with Library.open(filled.folder) as opened:
        earlier = people.add_lesson(opened, NAME, on=date(2026, 9, 18))
        give(opened, filled.best, 40.0, lesson=earlier.id)
        give(opened, filled.today, 52.0)
        yield opened


def give(library: Library, swing: Swing, value: float, lesson: str | None = None) -> None:
    measured = Measured(value=value, unit="deg", u_random=1.0)
    book = library.swing(swing.id).book
    results = (Result(name=TURN, measured=measured), Result(name="x", why_missing="Hidden."))
    moved = replace(book, lesson_id=library.find_lesson(lesson).id) if lesson else book
    library.save_book(replace(moved, results=results))


def test_each_lesson_is_a_point_with_the_best_marked_and_what_changed(library: Library) -> None:
    found = weeks_of(library, NAME)

    assert (found.club, found.kind, found.swings) == ("7 iron", SwingKind.FULL, 2)
    [turn] = found.courses
    assert turn.name == TURN
    assert [point.on for point in turn.points] == [date(2026, 9, 18), date(2026, 10, 30)]
    assert [point.mean.value for point in turn.points] == [40.0, 52.0]
    assert turn.points[0].best is not None
    assert since_words(turn) == ("more closed by 12 deg ± 3 deg",) * 2


def test_another_kind_and_another_club_never_count(library: Library, filled: Filled) -> None:
    library.change_book(filled.best.id, lambda book: replace(book, kind=SwingKind.PITCH))
    pitches = weeks_of(library, NAME, kind=SwingKind.PITCH)
    library.change_book(filled.best.id, lambda book: replace(book, club="driver"))

    assert weeks_of(library, NAME).swings == 1
    assert pitches.swings == 1
    assert weeks_of(library, NAME, club="1 wood").club == "driver"
    with pytest.raises(NotFoundError):
        weeks_of(library, NAME, club="putter")


@pytest.mark.parametrize("kind", [SwingKind.DRILL, SwingKind.REHEARSAL])
def test_drills_are_never_counted(library: Library, filled: Filled, kind: SwingKind) -> None:
    library.change_book(filled.today.id, lambda book: replace(book, kind=kind))

    assert weeks_of(library, NAME).swings == 1
    with pytest.raises(BadInputError):
        weeks_of(library, NAME, kind=kind)


def test_the_table_holds_every_point_and_no_name(library: Library) -> None:
    text = weeks_csv(weeks_of(library, NAME))

    rows = list(csv.DictReader(text.splitlines()))
    assert [(row["day"], row["mean"], row["best"]) for row in rows] == [
        ("2026-09-18", "40", "40"),
        ("2026-10-30", "52", ""),
    ]
    assert "ngstr" not in text


def test_table_and_charts_are_written_and_none_into_the_library(
    library: Library, tmp_path: Path
) -> None:
    found = weeks_of(library, NAME)

    written = write_weeks(found, tmp_path / "out", library, Quiet())

    names = ["over-weeks.csv", "pelvis-turn-top.png", "pelvis-turn-top.svg"]
    assert [path.name for path in written] == names
    assert all(path.stat().st_size > 100 for path in written)
    with pytest.raises(OutputError):
        write_weeks(found, library.folder / "out", library, Quiet())
    with pytest.raises(CancelledError):
        write_weeks(found, tmp_path / "other", library, StopAfter(0.0))
    with pytest.raises(OutputError, match="no room left") as refused, files_up_to(1000):
        write_weeks(found, tmp_path / "other", library, Quiet())
    assert str(tmp_path / "other" / names[1]) in refused.value.what
    assert not (tmp_path / "other").exists()
