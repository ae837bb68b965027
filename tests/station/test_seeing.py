"""One recording is looked through once, and each looker gets the pictures that it needs."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.errors import CancelledError
from capturestation.media.frames import FrameReader
from capturestation.records import (
    Box,
    FloatArray,
    FrameArray,
    Moment,
    Point,
    Quiet,
    StopAfter,
    Sync,
    SyncSource,
    View,
    hand_mark,
)
from capturestation.station import seeing as module
from capturestation.station.motion import motion_of
from capturestation.station.seeing import Begun, Lookers, look_through, planned
from capturestation.station.sources import read_sources
from capturestation.swing.tracks import ClubTrack, Company
from capturestation.tracking.body_network import BodyNetwork
from tests.helpers.bay_files import Pair

SYNC = Sync(view=View.FACE_ON, swing_minus_media_ns=-1_500_000_000, u_ns=1, source=SyncSource.SOUND)


class Counter:
    """Looks for no club; remembers which pictures it was given."""

    def __init__(self) -> None:
        self.times_ns: list[int] = []

    def see(
        self,
        frame_rgb: FrameArray,
        time_ns: int,
        hands_px: FloatArray | None,
        size_px: float | None,
    ) -> None:
        assert frame_rgb.ndim == 3
        assert hands_px is None, "nobody looks for hands here"
        assert size_px is None
        self.times_ns.append(time_ns)

    def track(self) -> ClubTrack:
        n = len(self.times_ns)
        where = np.tile([10.0, 20.0], (n, 1))
        return ClubTrack(
            times_ns=np.array(self.times_ns), grip_px=where, head_px=where,
            shaft_deg=np.zeros(n), confidence=np.zeros(n),
        )  # fmt: skip


def test_the_motion_is_the_same_as_read_alone(first_swing: Pair) -> None:
    path = first_swing.face_on
    source = read_sources({View.FACE_ON: path}, {}, Quiet())[0]
    alone = motion_of(source, Quiet())

    looked = look_through(path, SYNC, (), Lookers(), Quiet())

    assert np.array_equal(looked.motion.times_ns, alone.times_ns)
    assert np.corrcoef(looked.motion.energy, alone.energy)[0, 1] > 0.98
    assert looked.body is None
    assert looked.club is None


def test_the_club_is_looked_for_on_the_recording_s_clock(first_swing: Pair) -> None:
    path, counter = first_swing.face_on, Counter()

    looked = look_through(path, SYNC, (), Lookers(club=counter), Quiet())

    assert looked.club is not None
    assert len(looked.club.times_ns) == len(counter.times_ns) > 10
    assert set(counter.times_ns) <= set(_stamps(first_swing))


def test_a_stop_is_heard(first_swing: Pair) -> None:
    with pytest.raises(CancelledError):
        look_through(first_swing.face_on, SYNC, (), Lookers(), StopAfter(0.2))


def test_many_pictures_where_the_club_is_quick_and_few_where_nothing_moves() -> None:
    times_ns = np.arange(0, 3_000_000_000, 4_166_667, dtype=np.int64)
    marks = (hand_mark(Moment.CLUB_STARTS, -900_000_000), hand_mark(Moment.FINISH, 700_000_000))

    plan = planned(times_ns, SYNC, marks)

    at_s = SYNC.to_swing(times_ns) / 1e9
    rates = [
        plan.body[(at_s > a) & (at_s < a + 0.25)].sum() / 0.25 for a in (-1.4, -0.8, -0.3, 1.1)
    ]
    assert rates == pytest.approx([15, 60, 120, 15], rel=0.15)
    assert plan.club[(at_s > -0.8) & (at_s < 0.6)].sum() / 1.4 == pytest.approx(120, rel=0.05)


def test_a_slow_camera_s_pictures_are_all_looked_at() -> None:
    times_ns = np.arange(0, 2_000_000_000, 33_333_333, dtype=np.int64)

    assert planned(times_ns, SYNC, ()).body.all()


def _stamps(pair: Pair) -> list[int]:
    source = read_sources({View.FACE_ON: pair.face_on}, {}, Quiet())[0]
    return [int(t) for t in source.index.times_ns]


class Unasked(BodyNetwork):
    """A network that nobody runs."""

    def __init__(self) -> None:
        pass


@pytest.mark.parametrize(
    ("stance", "others", "is_doubtful"),
    [
        ((), 1, True),
        ((Point(x=0.62, y=0.9), Point(x=0.6, y=0.5)), 1, False),
        ((Point(x=0.99, y=0.9),), 1, True),
    ],
)
def test_where_it_cannot_be_told_who_swings_the_coach_s_pointing_counts(
    first_swing: Pair,
    monkeypatch: pytest.MonkeyPatch,
    stance: tuple[Point, ...],
    others: int,
    is_doubtful: bool,
) -> None:
    boxes = (Box(left=0.1, top=0.1, right=0.3, bottom=1.0),
             Box(left=0.5, top=0.1, right=0.7, bottom=1.0))  # fmt: skip
    monkeypatch.setattr(module, "_where_it_moves", lambda *_: boxes)
    monkeypatch.setattr(module, "who_swings", lambda *_: None)

    with FrameReader(first_swing.face_on) as reader:
        begun = Lookers(network=Unasked(), stance=stance).begin(reader, SYNC)

    assert begun.company == Company(others=others, is_doubtful=is_doubtful)
    assert (begun.body is None) == is_doubtful
    assert begun.moves_in == (None if is_doubtful else boxes[1])


@pytest.mark.parametrize(("others", "moves_in"), [(1, 1), (0, None)])
def test_a_box_by_the_coach_needs_no_more_asking(
    first_swing: Pair, monkeypatch: pytest.MonkeyPatch, others: int, moves_in: int | None
) -> None:
    boxes = (Box(left=0.1, top=0.1, right=0.3, bottom=1.0),
             Box(left=0.5, top=0.1, right=0.7, bottom=1.0))  # fmt: skip
    monkeypatch.setattr(module, "_where_it_moves", lambda *_: boxes[: 1 + others])
    golfer = Box(left=0.55, top=0.2, right=0.68, bottom=0.9)

    with FrameReader(first_swing.face_on) as reader:
        begun = Lookers(network=Unasked(), box=golfer).begin(reader, SYNC)

    assert begun.body is not None
    assert begun.company == Company()
    assert begun.moves_in == (None if moves_in is None else boxes[moves_in])


def test_where_others_move_only_the_golfer_s_motion_counts(
    first_swing: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    still = Box(left=0.0, top=0.0, right=0.05, bottom=0.05)
    monkeypatch.setattr(Lookers, "begin", lambda *_: Begun(moves_in=still))

    looked = look_through(first_swing.face_on, SYNC, (), Lookers(), Quiet())

    monkeypatch.undo()
    whole = look_through(first_swing.face_on, SYNC, (), Lookers(), Quiet())
    assert looked.motion.energy.max() < 0.2 * whole.motion.energy.max()
