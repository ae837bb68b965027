"""Which calibration counts for a swing: the one that held then, of that camera, as it filmed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import CalibrationKind, CalibrationRow, Hand, Recording, Swing, View
from capturestation.station.standpoints import standpoints
from tests.helpers.calibrated import BY_VIEW, calibrated, calibration_row
from tests.helpers.made_swings import FIRST_DAY, made_swing
from tests.helpers.station_library import grown_up

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
NAMES = {view: camera.name for view, camera in BY_VIEW.items()}


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library") as opened:
        yield opened


def as_filmed(recording: Recording) -> Recording:
    return replace(recording, camera=NAMES[recording.view], width_px=1280, height_px=720)


@pytest.fixture
def swing(library: Library) -> Swing:
    """Filmed by both named cameras on the third day."""
    made = made_swing("a", day=2)
    recordings = tuple(as_filmed(recording) for recording in made.facts.recordings)
    student = grown_up(library)
    return Swing(
        facts=replace(made.facts, recordings=recordings),
        book=replace(made.book, student_id=student.id),
    )


def keep(library: Library, key: str, *, day: float, view: View = FACE_ON) -> CalibrationRow:
    row = calibration_row(calibrated(BY_VIEW[view]), key, FIRST_DAY + timedelta(days=day))
    return library.add_calibration(row)


def test_each_view_has_the_calibration_that_held_when_it_was_struck(
    library: Library, swing: Swing
) -> None:
    keep(library, "old", day=0)
    keep(library, "held", day=1)
    keep(library, "later", day=3)
    keep(library, "other", day=1, view=BEHIND)

    known = standpoints(library, swing)

    assert {view: one.row.id for view, one in known.by_view.items()} == {
        FACE_ON: "held",
        BEHIND: "other",
    }
    assert known.by_view[FACE_ON].camera == calibrated(BY_VIEW[FACE_ON])
    assert known.missing == {}


def test_the_side_is_the_student_s_hand(library: Library, swing: Swing) -> None:
    right = standpoints(library, swing).side
    student = library.student(swing.book.student_id)
    library.save_student(replace(student, hand=Hand.LEFT))

    assert (right, standpoints(library, swing).side) == (1, -1)


def test_why_a_calibration_does_not_count_is_said(library: Library, swing: Swing) -> None:
    def why(changed: Swing = swing) -> str:
        return standpoints(library, changed).missing[FACE_ON]

    before = why()
    keep(library, "held", day=1)
    first = replace(swing.facts.recordings[0], width_px=1920, height_px=1080)
    nameless = replace(swing.facts.recordings[0], camera="")
    others = swing.facts.recordings[1:]
    larger = replace(swing, facts=replace(swing.facts, recordings=(first, *others)))
    bare = replace(swing, facts=replace(swing.facts, recordings=(nameless, *others)))
    was_moved = replace(swing, book=replace(swing.book, moved=(FACE_ON,)))

    assert "not calibrated yet" in before
    assert "calibrated in 1280x720" in why(larger)
    assert "has no name" in why(bare)
    assert "was moved" in why(was_moved)


def test_one_that_can_t_be_read_is_told_and_one_for_angles_is_no_full_one(
    library: Library, swing: Swing
) -> None:
    angles = keep(library, "angles", day=1)
    library.replace_calibration(replace(angles, kind=CalibrationKind.ANGLES))
    damaged = keep(library, "damaged", day=1, view=BEHIND)
    library.replace_calibration(replace(damaged, document="{}"))

    known = standpoints(library, swing)

    assert not known.by_view[FACE_ON].is_full
    assert "can't be read" in known.missing[BEHIND]
