"""One recording, open: exact frames before its copy arrives, while it does and after."""

from __future__ import annotations

import gc
import threading
from dataclasses import replace
from weakref import ref

import pytest

from capturestation.records import View
from capturestation.station.angle import Angle, Making
from capturestation.station.looking import Looking, OpenSwing
from tests.helpers.coded_media import read_code
from tests.helpers.looked_at import Held, Room, codes, made


def test_once_a_copy_is_made_the_same_frames_come_from_it(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    with looking.open(looked_at.swing_id) as swing:
        angle = swing.angles[View.FACE_ON]
        before, count = angle.times_ns.tolist(), len(angle)
        original = angle.frame_rgb(angle.at(0))
        held.go_on.set()
        made(looking)

        assert all(one.is_copy for one in swing.angles.values())
        assert angle.times_ns.tolist() == before
        assert codes(angle) == list(reversed(range(count)))
        assert angle.frame_rgb(angle.at(0)).shape == original.shape
        assert angle.frame_grey(5).shape == original.shape[:2]
        planes = angle.frame_planes(5)
        assert planes is not None
        assert read_code(planes.luma) == read_code(angle.frame_rgb(5))
        assert angle.copied_share is None
        assert angle.said == ()


def test_the_nearest_frame_answers_to_a_time(looked_at: Room, looking: Looking, held: Held) -> None:
    with looking.open(looked_at.swing_id) as swing:
        angle = swing.angles[View.DOWN_THE_LINE]
        times = looked_at.times_ns(View.DOWN_THE_LINE)

        assert abs(times[angle.at(0)]) == min(abs(at) for at in times)
        assert angle.at(times[0] - 10**9) == 0
        assert angle.at(times[-1] + 10**9) == len(angle) - 1


def test_an_angle_says_what_it_is(looked_at: Room, held: Held) -> None:
    library, key = looked_at.library, looked_at.swing_id
    with Looking(library, looked_at.cache) as looking:
        with looking.open(key) as swing:
            angle = swing.angles[View.FACE_ON]
            assert (angle.label, angle.size_px, angle.is_upright) == ("face-on", (160, 96), False)
        held.go_on.set()
    tall = replace(angle.recording, camera="left phone", width_px=96, height_px=160)
    folder = looked_at.cache.folder(key)
    other = Angle(looked_at.original(), tall, angle.sync, folder, cache_mb=1)

    assert (other.label, other.is_upright) == ("face-on, left phone", True)
    other.close()


def test_making_a_copy_says_how_far_it_is_and_can_be_stopped(
    looked_at: Room, looking: Looking, held: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    shares: list[float | None] = []
    report = Making.report
    opened: list[OpenSwing] = []

    def noted(self: Making, share: float, words: str) -> None:
        report(self, share, words)
        for angle in opened[0].angles.values():
            if angle.making is self:
                shares.append(angle.copied_share)
                if share > 0.5:
                    angle.stop_copying()

    monkeypatch.setattr(Making, "report", noted)
    with looking.open(looked_at.swing_id) as swing:
        opened.append(swing)
        held.go_on.set()
        made(looking)

        angle = swing.angles[View.FACE_ON]
        assert max(share for share in shares if share is not None) > 0.5
        assert (angle.is_copy, angle.copied_share, angle.said) == (False, None, ())
        assert read_code(angle.frame_rgb(7)) == 7
    assert looked_at.names() == []


def test_a_swing_opened_again_hears_of_the_copy_that_is_on_its_way(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    looking.open(looked_at.swing_id).close()

    with looking.open(looked_at.swing_id) as swing:
        angle = swing.angles[View.FACE_ON]
        angle.making.report(0.25, "")
        assert angle.copied_share == 0.25
        held.go_on.set()
        made(looking)

        assert angle.is_copy
        assert swing.angles[View.FACE_ON].copied_share is None
    assert len(looked_at.names()) == 2


def test_a_closed_angle_is_not_kept_for_its_copys_sake(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    swing = looking.open(looked_at.swing_id)
    angles = [ref(angle) for angle in swing.angles.values()]

    swing.close()
    del swing
    gc.collect()

    assert [angle() for angle in angles] == [None, None]
    held.go_on.set()
    made(looking)
    assert len(looked_at.names()) == 2


def test_threads_that_look_while_the_copy_arrives_all_see_the_right_frame(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    wrong: list[int] = []

    def look(swing: OpenSwing, stop: threading.Event) -> None:
        angle = swing.angles[View.FACE_ON]
        number = 0
        while not stop.is_set():
            number = (number + 37) % len(angle)
            if read_code(angle.frame_rgb(number)) != number:
                wrong.append(number)

    with looking.open(looked_at.swing_id) as swing:
        stop = threading.Event()
        lookers = [threading.Thread(target=look, args=(swing, stop)) for _ in range(2)]
        for looker in lookers:
            looker.start()
        held.go_on.set()
        made(looking)
        stop.set()
        for looker in lookers:
            looker.join(20)
        assert swing.angles[View.FACE_ON].is_copy
    assert wrong == []
