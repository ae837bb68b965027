"""The earlier swing laid over today's in a clip: which frame, where, by what, and what is said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import LayoutName
from capturestation.drawing.placing import Picture, middle, place
from capturestation.drawing.rect import Rect
from capturestation.library import Library
from capturestation.media.canvas import Cut, planes
from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, MarkSource, Point, Quiet, Spot, SpotMark, Swing, View
from capturestation.station.clip_plan import Track
from capturestation.station.clip_reading import Reading, laid_track
from capturestation.station.clip_request import ClipRequest, Overlaid
from capturestation.station.clips import ClipWish, request_for
from capturestation.station.comparing import compare
from capturestation.station.crew import Belt, Crew
from capturestation.station.handout import make_clip
from capturestation.station.laying import Nudge, Over, laid_over
from tests.helpers.calibrated import BY_VIEW, calibrated, calibration_row
from tests.helpers.coded_bay import (
    Coded,
    coded_bay,
    expected_now_ns,
    expected_then_ns,
    request_all_four_of,
)
from tests.helpers.coded_media import read_code
from tests.helpers.made_swings import made_swing, made_sync
from tests.helpers.station_library import Filled, grown_up

pytestmark = pytest.mark.usefixtures("qapp")
FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
ALMOST_ALL = Overlaid(now_from_then=np.eye(3), opacity=0.9, said="Laid over as it stands.")
SIZE = (160, 96)


@pytest.fixture(scope="module")
def bay(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Coded]:
    return coded_bay(tmp_path_factory.mktemp("bay"))


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def over_both(bay: dict[str, Coded], layout: LayoutName) -> ClipRequest:
    """The earlier swing hides today's so far that its frames' numbers are read."""
    whole = request_all_four_of(bay)
    return replace(whole, layout=layout, over=dict.fromkeys(whole.views, ALMOST_ALL))


@pytest.mark.parametrize("layout", [LayoutName.BOTH_ANGLES, LayoutName.ALL_FOUR])
def test_each_picture_has_the_earlier_frame_of_its_time_over_it(
    bay: dict[str, Coded], layout: LayoutName, tmp_path: Path
) -> None:
    request = over_both(bay, layout)

    report = make_clip(request, tmp_path / "clip.mp4", watch=Quiet())

    assert len(report.layout.fields) == (4 if layout is LayoutName.ALL_FOUR else 2)
    now_ns = expected_now_ns(request)
    for view in request.views:
        wanted = [bay[f"then {view}"].nearest(expected_then_ns(at)) for at in now_ns]
        cut = report.placements[f"now {view}"].target.cut
        with FrameReader(report.path) as clip:
            shown = [read_code(clip.frame_rgb(n)[cut]) for n in range(len(clip))]
        assert shown == wanted == report.over[view].tolist()
    assert report.layout.caption_lines > 1
    assert "face-on: Laid over as it stands." in report.said
    assert any("own best, face-on ±" in said for said in report.said)


def test_where_the_earlier_recording_has_no_picture_today_s_stands_alone(
    bay: dict[str, Coded],
) -> None:
    now, then = (FrameReader(bay[f"{side} face-on"].path) for side in Side)
    with now, then, Crew("test") as crew:
        placement = place(
            Picture(width_px=160, height_px=96, box=middle(1.0)),
            Rect(left=0, top=0, width=160, height=96),
        )
        cut = Cut(left=0, top=0, width=160, height=96, to_width=160, to_height=96)
        earlier = track(then, [50, 50], beyond=[0, 1])
        reading = Reading(
            track=track(now, [70, 70]),
            cut=cut,
            laid=laid_track(earlier, ALMOST_ALL, placement),
            drawn=None,
        )
        belt: Belt[FrameArray] = crew.belt(2)
        reading.run(belt)
        both, alone = belt.get(), belt.get()

        assert read_code(planes(both)[0]) == 50
        assert np.array_equal(alone, now.frame_planar(70, cut))


def track(reader: FrameReader, ordinals: list[int], beyond: list[int] | None = None) -> Track:
    beyond = beyond or [0] * len(ordinals)
    return Track(reader=reader, ordinals=np.array(ordinals), beyond=np.array(beyond), off_ns=0)


def filmed_by_both(library: Library, day: int, **spots: Point) -> Swing:
    syncs = tuple(made_sync(view, 0) for view in BY_VIEW)
    made = made_swing(f"s{day}", day=day, syncs=syncs)
    known = {view: camera.name for view, camera in BY_VIEW.items()}
    recordings = tuple(
        replace(one, camera=known[one.view], width_px=1280, height_px=720)
        for one in made.facts.recordings
    )
    marks = tuple(
        SpotMark(view=FACE_ON, spot=Spot[name], at=at, source=MarkSource.HAND)
        for name, at in spots.items()
    )
    student = library.students()[0].id
    return Swing(
        facts=replace(made.facts, recordings=recordings),
        book=replace(made.book, student_id=student, spots=marks),
    )


def test_it_is_laid_by_the_cameras_else_by_what_was_pointed_out_and_says_which(
    tmp_path: Path,
) -> None:
    with Library.open(tmp_path / "library") as library:
        grown_up(library)
        library.add_calibration(calibration_row(calibrated(BY_VIEW[BEHIND]), "behind"))
        now = filmed_by_both(library, 3, BALL=Point(x=0.5, y=0.9))
        then = filmed_by_both(library, 2, BALL=Point(x=0.6, y=0.8))

        laid = laid_over(library, now, then, (FACE_ON, BEHIND), Over())
        filmed = laid_over(library, now, then, (FACE_ON,), Over(as_filmed=True))

    assert laid[BEHIND].said.startswith("Redrawn as today's camera sees it, by mat mark")
    assert laid[BEHIND].now_from_then == pytest.approx(np.eye(3), abs=1e-6)
    assert laid[FACE_ON].said == (
        "Laid over by ball alone, as large as filmed. Not redrawn as today's camera sees it: "
        "today: its camera was not calibrated yet when it was struck."
    )
    moved = laid[FACE_ON].now_from_then @ (0.6 * 1280, 0.8 * 720, 1.0)
    assert moved[:2] == pytest.approx((0.5 * 1280, 0.9 * 720))
    assert filmed[FACE_ON].now_from_then == pytest.approx(np.eye(3))
    assert "as it was filmed" in filmed[FACE_ON].said


def test_what_a_hand_moved_on_the_bench_is_moved_in_the_clip_and_said(tmp_path: Path) -> None:
    over = Over(opacity=0.3, nudges={FACE_ON: Nudge(dx=0.1, scale=1.5)})
    with Library.open(tmp_path / "library") as library:
        grown_up(library)
        now, then = filmed_by_both(library, 3), filmed_by_both(library, 2)

        laid = laid_over(library, now, then, (FACE_ON,), over)[FACE_ON]

    assert laid.now_from_then @ (640, 360, 1) == pytest.approx((640 + 128, 360, 1))
    assert laid.now_from_then[0, 0] == pytest.approx(1.5)
    assert laid.opacity == 0.3
    assert laid.said.startswith("Not placed: point out the ball")
    assert laid.said.endswith("Moved by hand from there.")


def test_a_swing_alone_with_the_best_laid_over_it_is_still_beside_the_best(
    library: Library, filled: Filled
) -> None:
    wish = ClipWish(layout=LayoutName.BOTH_ANGLES, over=Over(opacity=0.4))
    found = compare(library, "latest", None)

    request = request_for(library, filled.today, found, wish)

    assert wish.needs_then
    assert request.then is not None
    assert request.then.swing == filled.best
    assert {view: laid.opacity for view, laid in request.over.items()} == {
        FACE_ON: 0.4,
        BEHIND: 0.4,
    }
    assert {side for side, _ in request.cells} == {Side.NOW, Side.THEN}
