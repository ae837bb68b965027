"""The morning check asks whether each camera stands; the answer comes from another thread."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from capturestation.library import Library
from capturestation.records import CalibrationKind, FrameArray, View
from capturestation.records.capture import SourceKind, SourceSetting
from capturestation.station.bay.moved import LiveMoved
from capturestation.station.bay.standing import Level, Sign
from capturestation.station.references import reference_of
from tests.helpers.calibrated import BY_VIEW, WELL_BEFORE, calibrated, calibration_row
from tests.helpers.walls import turned, wall

FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
EMPTY = wall(1)
SOURCES = tuple(
    SourceSetting(view=v, kind=SourceKind.DEVICE, address=f"/dev/{v}", camera=camera.name)
    for v, camera in BY_VIEW.items()
)
ROW = replace(
    calibration_row(calibrated(BY_VIEW[FACE_ON]), "a", WELL_BEFORE), reference=reference_of(EMPTY)
)


@pytest.fixture
def library(tmp_path: Path) -> Iterator[Library]:
    with Library.open(tmp_path / "library") as opened:
        opened.add_calibration(ROW)
        yield opened


def settled(moved: LiveMoved, grey: FrameArray) -> Sign:
    """The first answer that tells something."""
    end_s = time.monotonic() + 20
    while time.monotonic() < end_s:
        sign = moved(FACE_ON, grey)
        if sign.what != "check.moved_looking":
            return sign
        time.sleep(0.02)
    msg = "no answer"
    raise TimeoutError(msg)


def answer(library: Library, grey: FrameArray, *, turn_deg: int = 0) -> Sign:
    sources = tuple(replace(source, rotation_deg=turn_deg) for source in SOURCES)
    moved = LiveMoved(library, sources)
    try:
        return settled(moved, grey)
    finally:
        moved.close()


@pytest.mark.parametrize(
    ("grey", "what", "level"),
    [
        (EMPTY, "check.stands", Level.WELL),
        (turned(EMPTY, 12), "check.moved", Level.BAD),
        (wall(2), "check.moved_unsure", Level.LOOK),
    ],
)
def test_a_camera_stands_was_moved_or_can_t_be_told(
    library: Library, grey: FrameArray, what: str, level: Level
) -> None:
    sign = answer(library, grey)

    assert (sign.what, sign.level, sign.values["view"]) == (what, level, "face-on")


def test_it_says_by_how_much(library: Library) -> None:
    assert answer(library, turned(EMPTY, 12)).values["px"] == "12"


def test_a_camera_on_its_side_is_compared_upright(library: Library) -> None:
    stored = np.ascontiguousarray(np.rot90(EMPTY))

    assert answer(library, stored, turn_deg=90).what == "check.stands"


def test_without_a_calibration_or_its_picture_nothing_is_known(library: Library) -> None:
    moved = LiveMoved(library, SOURCES)
    other = moved(BEHIND, EMPTY)
    moved.close()
    library.replace_calibration(replace(ROW, reference=""))

    assert (other.what, other.level) == ("check.moved_unknown", Level.LOOK)
    assert answer(library, EMPTY).what == "check.moved_unknown"


def test_outdoors_it_is_said_and_not_asked_for(library: Library) -> None:
    library.replace_calibration(replace(ROW, kind=CalibrationKind.ANGLES))

    sign = answer(library, wall(2))

    assert (sign.what, sign.level) == ("check.angles_only", Level.WELL)
