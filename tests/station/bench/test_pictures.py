"""Pictures made beside the window: the newest wish, the right thread, nothing left open."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from capturestation.drawing.grid import Side
from capturestation.errors import NotReadableError
from capturestation.records import FrameArray, View
from capturestation.station.bench.pictures import PictureRoom
from capturestation.station.bench.wishes import FrameWish, PictureWish
from tests.helpers.coded_media import read_code
from tests.helpers.seen_swings import MadeFrames, even_frames

SAME = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)
DOWN = (1.0, 0.0, 0.0, 0.0, 1.0, 16.0, 0.0, 0.0, 1.0)


def wish(ordinal: int, view: View = View.FACE_ON, over: int | None = None) -> PictureWish:
    then = None if over is None else FrameWish(side=Side.THEN, ordinal=over, matrix=DOWN)
    return PictureWish(
        view=view,
        size_px=(160, 96),
        base=FrameWish(side=Side.NOW, ordinal=ordinal, matrix=SAME),
        over=then,
        opacity=0.9,
        paper=(250, 250, 250),
    )


class Bell:
    """Rings when something arrives."""

    def __init__(self) -> None:
        self.rung = threading.Semaphore(0)

    def __call__(self) -> None:
        self.rung.release()

    def wait(self) -> None:
        assert self.rung.acquire(timeout=10)


@pytest.fixture
def bell() -> Bell:
    return Bell()


@pytest.fixture
def room(bell: Bell) -> Iterator[PictureRoom]:
    with PictureRoom(bell) as made:
        yield made


def number(picture: FrameArray | None) -> int:
    assert picture is not None
    return read_code(picture[:, :, :3])


def test_what_is_wanted_comes(room: PictureRoom, bell: Bell) -> None:
    room.show(Side.NOW, {View.FACE_ON: even_frames()})
    missing = room.ready(wish(7))
    room.ask([wish(7)])
    bell.wait()

    assert missing is None
    assert number(room.ready(wish(7))) == 7


def test_both_swings_show_in_one_picture(room: PictureRoom, bell: Bell) -> None:
    room.show(Side.NOW, {View.FACE_ON: even_frames()})
    room.show(Side.THEN, {View.FACE_ON: even_frames()})
    room.ask([wish(7, over=9)])
    bell.wait()

    picture = room.ready(wish(7, over=9))

    assert number(picture) == 7
    assert picture is not None
    assert number(np.vstack([picture[16:], picture[:16]])) == 9


def test_each_view_has_its_own_thread(room: PictureRoom, bell: Bell) -> None:
    frames = {view: even_frames() for view in (View.FACE_ON, View.DOWN_THE_LINE)}
    room.show(Side.NOW, frames)
    room.ask([wish(1, view) for view in frames])
    bell.wait()
    bell.wait()

    assert [frames[view].threads for view in frames] == [{f"pictures {view}"} for view in frames]


def test_only_the_newest_wish_is_decoded(room: PictureRoom, bell: Bell) -> None:
    gate = threading.Event()
    frames = even_frames(gate=gate)
    room.show(Side.NOW, {View.FACE_ON: frames})
    room.ask([wish(0)])
    assert frames.begun.wait(10)
    for ordinal in range(1, 20):
        room.ask([wish(ordinal)])
    gate.set()
    while room.ready(wish(19)) is None:
        bell.wait()

    assert frames.asked == [0, 19]


def test_what_was_begun_ahead_is_dropped_for_what_is_waited_for(
    room: PictureRoom, bell: Bell
) -> None:
    gate = threading.Event()
    now, then = even_frames(gate=gate), even_frames()
    room.show(Side.NOW, {View.FACE_ON: now})
    room.show(Side.THEN, {View.FACE_ON: then})
    room.ask([wish(0, over=0)])
    assert now.begun.wait(10)
    room.ask([wish(9, over=9)])
    gate.set()
    while room.ready(wish(9, over=9)) is None:
        bell.wait()

    assert (now.asked, then.asked) == ([0, 9], [9])
    assert room.ready(wish(0, over=0)) is None


def test_what_was_begun_is_finished_while_nothing_else_is_waited_for(
    room: PictureRoom, bell: Bell
) -> None:
    gate = threading.Event()
    frames = even_frames(gate=gate)
    room.show(Side.NOW, {View.FACE_ON: frames})
    room.ask([wish(5)])
    assert frames.begun.wait(10)
    room.ask([])
    gate.set()
    bell.wait()

    assert number(room.ready(wish(5))) == 5


def test_what_comes_next_is_made_after_what_is_wanted(room: PictureRoom, bell: Bell) -> None:
    frames = even_frames()
    room.show(Side.NOW, {View.FACE_ON: frames})
    room.ask([wish(5), wish(6), wish(7)])
    for _ in range(3):
        bell.wait()

    assert frames.asked == [5, 6, 7]
    assert number(room.ready(wish(7))) == 7


def test_a_made_picture_is_not_made_again(room: PictureRoom, bell: Bell) -> None:
    frames = even_frames()
    room.show(Side.NOW, {View.FACE_ON: frames})
    for wanted in ([wish(5)], [wish(5), wish(6)]):
        room.ask(wanted)
        bell.wait()

    assert frames.asked == [5, 6]


def test_what_is_kept_stays_within_its_room(bell: Bell) -> None:
    with PictureRoom(bell, most_mb=1) as room:
        room.show(Side.NOW, {View.FACE_ON: even_frames()})
        for ordinal in range(30):
            room.ask([wish(ordinal)])
            bell.wait()

        assert room.ready(wish(0)) is None
        assert number(room.ready(wish(29))) == 29


def test_a_picture_larger_than_the_room_is_made_once_and_shown(bell: Bell) -> None:
    large = replace(wish(3), size_px=(1600, 960))
    frames = even_frames()
    with PictureRoom(bell, most_mb=1) as room:
        room.show(Side.NOW, {View.FACE_ON: frames})
        room.ask([large, replace(large, opacity=0.4)])
        bell.wait()
        bell.wait()

    assert frames.asked == [3, 3]


def test_a_swing_that_goes_is_closed_and_its_pictures_are_forgotten(
    room: PictureRoom, bell: Bell
) -> None:
    first, second = even_frames(), even_frames(grey=90)
    room.show(Side.NOW, {View.FACE_ON: first})
    room.ask([wish(5)])
    bell.wait()
    room.show(Side.NOW, {View.FACE_ON: second})
    gone = room.ready(wish(5))
    room.ask([wish(5)])
    bell.wait()

    assert gone is None
    assert first.closed
    assert second.asked == [5]


def test_a_swing_that_was_never_looked_at_is_closed_too(room: PictureRoom) -> None:
    first = even_frames()
    room.show(Side.NOW, {View.FACE_ON: first})
    room.show(Side.NOW, {})

    assert first.closed


def test_a_picture_of_a_swing_that_left_meanwhile_is_thrown_away(
    room: PictureRoom, bell: Bell
) -> None:
    gate = threading.Event()
    first = even_frames(gate=gate)
    room.show(Side.NOW, {View.FACE_ON: first})
    room.ask([wish(5)])
    assert first.begun.wait(10)
    room.show(Side.NOW, {View.FACE_ON: even_frames(grey=90)})
    gate.set()
    room.ask([wish(6)])
    while room.ready(wish(6)) is None:
        bell.wait()

    assert room.ready(wish(5)) is None
    assert first.closed


def test_a_broken_frame_is_told_for_itself_alone(room: PictureRoom, bell: Bell) -> None:
    room.show(Side.NOW, {View.FACE_ON: even_frames(broken=frozenset({5}))})
    room.ask([wish(5), wish(6)])
    bell.wait()
    bell.wait()

    with pytest.raises(NotReadableError):
        room.ready(wish(5))
    assert number(room.ready(wish(6))) == 6


class Buggy(MadeFrames):
    """Frames whose code is wrong."""

    def frame_rgb(self, ordinal: int) -> FrameArray:
        raise ZeroDivisionError(ordinal)


def test_a_bug_is_raised_where_it_is_asked_for(room: PictureRoom, bell: Bell) -> None:
    room.show(Side.NOW, {View.FACE_ON: Buggy(times_ns=even_frames().times_ns)})
    room.ask([wish(5)])
    bell.wait()

    with pytest.raises(ZeroDivisionError):
        room.ready(wish(5))


def test_closing_ends_the_threads_and_closes_all(bell: Bell) -> None:
    room = PictureRoom(bell)
    frames = {view: even_frames() for view in View}
    room.show(Side.NOW, frames)
    room.ask([wish(1, view) for view in View])
    for _ in View:
        bell.wait()
    room.close()

    names = {thread.name for thread in threading.enumerate()}
    assert not any(name.startswith("pictures") for name in names)
    assert all(one.closed for one in frames.values())
