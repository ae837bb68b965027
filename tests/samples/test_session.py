"""The invented scenario and its ready-made clips."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from capturestation.errors import NotFoundError
from capturestation.media.frames import FrameReader
from capturestation.media.index import index_frames
from capturestation.media.sound import read_sound
from capturestation.records import Moment, Purpose, View
from sample_sessions.film import find_swing, truth_of
from sample_sessions.session import VIEWS, SampleSwing, clips_folder, load_session
from sample_sessions.truth import truth_text

SESSION = load_session()
EVERY_SWING = pytest.mark.parametrize("swing", SESSION.swings, ids=lambda s: s.name)
EVERY_VIEW = pytest.mark.parametrize("view", VIEWS, ids=str)


def test_two_lessons_with_one_best_and_the_same_focus() -> None:
    earlier, today = SESSION.lessons

    assert earlier.on < today.on
    assert earlier.focus == today.focus
    assert [swing.starred for swing in SESSION.swings] == [False, True, False, False, False]
    assert all(swing.struck_at.date() == lesson.on for lesson in SESSION.lessons
               for swing in lesson.swings)  # fmt: skip


def test_the_invented_student_is_grown_up_and_allowed_coaching_and_sharing() -> None:
    given = {consent.purpose for consent in SESSION.student.consents if consent.given}

    assert SESSION.student.birth_year < SESSION.lessons[0].on.year - 18
    assert {Purpose.COACHING, Purpose.SHARING} <= given


def test_the_best_has_the_pelvis_square_and_todays_come_closer() -> None:
    turns = {}
    for swing in SESSION.swings:
        moments = truth_of(swing, View.FACE_ON).swing.moments
        level = next(m for m in moments if m.moment is Moment.LEAD_ARM_LEVEL_DOWN)
        turns[swing.name] = level.pelvis_turn_deg or 0.0

    assert abs(turns["earlier-2-best"]) < 10.0
    assert turns["today-1"] > turns["today-2"] > turns["today-3"] > turns["earlier-2-best"]


def test_an_unknown_swing_is_answered_with_the_known_ones() -> None:
    with pytest.raises(NotFoundError, match="today-1"):
        find_swing(SESSION, "yesterday")


@EVERY_SWING
@EVERY_VIEW
def test_the_truth_beside_a_clip_is_what_this_code_says(swing: SampleSwing, view: View) -> None:
    written = swing.truth_file(view).read_text(encoding="utf-8")

    assert written == truth_text(truth_of(swing, view))


@EVERY_SWING
@EVERY_VIEW
def test_a_clip_has_the_frames_and_the_rate_of_its_truth(swing: SampleSwing, view: View) -> None:
    truth = swing.truth(view)
    index = index_frames(swing.clip(view))

    assert len(index.pts) == truth.frames
    assert index.mean_rate_hz == truth.rate_hz == Fraction(120)


@EVERY_SWING
def test_a_clip_shows_set_before_the_club_starts_and_the_finish_held(swing: SampleSwing) -> None:
    for view in VIEWS:
        truth = swing.truth(view)
        start_ns = truth.swing.at_ns(Moment.CLUB_STARTS)
        end_ns = truth.swing_minus_media_ns + round(truth.frames / truth.rate_hz * 10**9)
        assert start_ns is not None
        assert start_ns - truth.swing_minus_media_ns >= 450_000_000
        assert end_ns >= 900_000_000


@EVERY_VIEW
def test_the_strike_is_in_the_clips_sound_where_the_truth_says(view: View) -> None:
    swing = SESSION.swing("today-2")
    truth, sound = swing.truth(view), read_sound(swing.clip(view))
    loud = np.abs(sound.samples.astype(np.float64))
    assert truth.contact_sound_media_ns is not None
    expected_s = truth.contact_sound_media_ns / 1e9

    at = round((expected_s - sound.start_ns / 1e9) * sound.rate_hz)
    before = loud[at - 4000 : at - 200].max()
    onset = at - 200 + int(np.argmax(loud[at - 200 : at + 400] > 3.0 * before))

    assert abs(onset - at) / sound.rate_hz < 0.001


@EVERY_VIEW
def test_the_ball_leaves_the_clips_picture_at_zero(view: View) -> None:
    swing = SESSION.swing("earlier-2-best")
    truth = swing.truth(view)
    x, y, radius = truth.ball_px
    assert truth.contact_picture_media_ns is not None
    last_with = int(truth.contact_picture_media_ns * truth.rate_hz / 10**9)
    with FrameReader(swing.clip(view)) as reader:
        levels = [
            int(
                reader.frame_grey(n)[
                    round(y - radius / 2) : round(y + radius / 2) + 1,
                    round(x - radius / 2) : round(x + radius / 2) + 1,
                ].mean()
            )
            for n in (last_with - 12, last_with + 3)
        ]

    assert levels[0] - levels[1] > 40


def test_the_clips_stay_small_enough_to_carry() -> None:
    sizes = [path.stat().st_size for path in clips_folder().glob("*.mp4")]

    assert len(sizes) == len(SESSION.swings) * len(VIEWS)
    assert sum(sizes) < 6_000_000
