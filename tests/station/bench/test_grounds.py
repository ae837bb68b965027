"""What the Bench knows of the bay: shown or not, followed as spots are pointed out, laid or not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.drawing.grid import Side
from capturestation.drawing.ground_lines import Ground
from capturestation.library import Library
from capturestation.records import Spot, View
from capturestation.station.bench.grounds import BenchGrounds
from capturestation.station.standpoints import Standpoints
from tests.helpers.calibrated import BY_VIEW, calibrated, filmed, moved

BALL = (0.03, -0.02, 0.0214)
FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
CAMERAS = {view: calibrated(camera) for view, camera in BY_VIEW.items()}
MOVED = {v: calibrated(moved(camera, (0.05, 0.05, 0.0))) for v, camera in BY_VIEW.items()}


@pytest.fixture
def made(tmp_path: Path) -> Iterator[BenchGrounds]:
    with Library.open(tmp_path / "library") as library:
        yield BenchGrounds(library)


def both() -> dict[Side, Standpoints]:
    spots = {Spot.BALL: BALL}
    return {Side.NOW: filmed("now", CAMERAS, spots), Side.THEN: filmed("then", MOVED, spots)}


def test_only_what_is_wanted_is_drawn_on_each_side_by_its_own_camera(made: BenchGrounds) -> None:
    made.take(both())
    before = made.lines(Side.NOW, BEHIND)
    made.toggle(Ground.TARGET_LINE)
    now, then = (made.lines(side, BEHIND) for side in (Side.NOW, Side.THEN))
    made.toggle(Ground.TARGET_LINE)

    assert before == ()
    assert [line.ground for line in now] == [Ground.TARGET_LINE]
    assert now != then
    assert made.lines(Side.NOW, BEHIND) == ()


def test_lines_follow_what_is_pointed_out(made: BenchGrounds) -> None:
    known = both()
    made.take(known)
    made.toggle(Ground.TOES)
    without = made.lines(Side.NOW, BEHIND)
    toes = {Spot.LEAD_FOOT: (0.2, 0.5, 0.0), Spot.TRAIL_FOOT: (-0.2, 0.5, 0.0)}
    pointed = filmed("now", CAMERAS, toes).swing

    made.follow({Side.NOW: pointed})

    assert without == ()
    assert made.lines(Side.NOW, BEHIND)[0].word.startswith("toes square")
    assert made.knows({Side.NOW: pointed, Side.THEN: known[Side.THEN].swing})
    assert not made.knows({Side.NOW: pointed})


def test_why_something_is_not_drawn(made: BenchGrounds) -> None:
    known = both()
    made.take(known)
    assert made.why_not(Ground.TARGET_LINE, (FACE_ON, BEHIND)) == ""
    assert "toes of both feet" in made.why_not(Ground.TOES, (FACE_ON,))

    bare = replace(known[Side.NOW], by_view={}, missing={BEHIND: "It has no name."})
    made.take({Side.NOW: bare})

    assert made.why_not(Ground.GRID, (FACE_ON, BEHIND)) == "It has no name."


def test_the_earlier_picture_is_redrawn_where_both_are_known(made: BenchGrounds) -> None:
    told: list[bool] = []
    made.changed.tell(lambda: told.append(made.is_as_filmed))
    made.take(both())
    placing = made.placing(FACE_ON)
    made.take({Side.NOW: both()[Side.NOW]})
    made.film(as_filmed=True)

    assert placing is not None
    assert placing.now_from_then.shape == (3, 3)
    assert made.placing(FACE_ON) is None
    assert told == [False, False, True]
