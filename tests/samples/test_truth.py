"""What is said to be true of invented swings."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import BadInputError
from capturestation.records import Hand, Moment, SwingKind
from sample_sessions.cameras import FACE_ON
from sample_sessions.clubs import CLUBS
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.truth import (
    SwingTruth,
    TrueMoment,
    clip_truth,
    load_truth,
    swing_truth,
    truth_text,
)
from tests.samples.test_golfer import PITCH


def _moment(truth: SwingTruth, moment: Moment) -> TrueMoment:
    return next(m for m in truth.moments if m.moment is moment)


@pytest.mark.parametrize("club", CLUBS)
def test_all_moments_of_a_full_swing_occur_in_their_order(club: str) -> None:
    truth = swing_truth(Golfer(SwingParameters(club_name=club)))

    times = [moment.at_ns for moment in truth.moments]
    assert [moment.moment for moment in truth.moments] == list(Moment)
    assert None not in times
    assert times == sorted(set(times), key=lambda at_ns: at_ns or 0)
    assert truth.at_ns(Moment.IMPACT) == 0


@pytest.mark.parametrize(("back_s", "down_s"), [(0.80, 0.27), (0.74, 0.26), (0.95, 0.30)])
def test_tempo_is_what_was_asked_for(back_s: float, down_s: float) -> None:
    truth = swing_truth(Golfer(SwingParameters(backswing_s=back_s, downswing_s=down_s)))

    assert truth.backswing_s == pytest.approx(back_s, abs=1e-4)
    assert truth.downswing_s == pytest.approx(down_s, abs=1e-4)
    assert truth.tempo_ratio == pytest.approx(back_s / down_s, abs=1e-3)


def test_a_pitch_says_which_moments_never_occur_and_why() -> None:
    truth = swing_truth(Golfer(PITCH))

    missing = [moment for moment in truth.moments if moment.at_ns is None]
    assert Moment.LEAD_ARM_LEVEL_BACK in {moment.moment for moment in missing}
    assert all(moment.why_not and moment.pelvis_turn_deg is None for moment in missing)


def test_turns_are_the_ones_put_in() -> None:
    swing = SwingParameters(pelvis_top_deg=52.0, chest_top_deg=86.0)

    truth = swing_truth(Golfer(swing))

    top, hit = _moment(truth, Moment.TOP), _moment(truth, Moment.IMPACT)
    assert top.chest_about_spine_deg == pytest.approx(86.0, abs=1.0)
    assert 44.0 < (top.pelvis_turn_deg or 0.0) <= 52.0
    assert hit.pelvis_turn_deg == pytest.approx(swing.pelvis_impact_deg, abs=2.0)


@pytest.mark.parametrize("hand", list(Hand))
def test_a_late_pelvis_is_late_by_what_was_put_in(hand: Hand) -> None:
    on_time = swing_truth(Golfer(SwingParameters(hand=hand)))
    late = swing_truth(
        Golfer(SwingParameters(hand=hand, departures=Departures(pelvis_late_deg=20.0)))
    )

    turns = [_moment(t, Moment.LEAD_ARM_LEVEL_DOWN).pelvis_turn_deg for t in (on_time, late)]
    assert turns[0] == pytest.approx(5.0, abs=3.0)
    assert (turns[1] or 0.0) - (turns[0] or 0.0) == pytest.approx(20.0, abs=2.0)


def test_an_off_plane_shaft_is_off_by_what_was_put_in_and_back_on_at_impact() -> None:
    plain = swing_truth(Golfer(SwingParameters()))
    off = swing_truth(Golfer(SwingParameters(departures=Departures(off_plane_deg=8.0))))

    for moment, put_in in ((Moment.LEAD_ARM_LEVEL_DOWN, 8.0), (Moment.IMPACT, 0.0)):
        pair = [_moment(t, moment).off_plane_deg for t in (plain, off)]
        assert (pair[1] or 0.0) - (pair[0] or 0.0) == pytest.approx(put_in, abs=0.3)
        assert abs(pair[0] or 0.0) < 2.5


def test_a_slide_moves_the_pelvis_away_from_the_target() -> None:
    plain = Golfer(SwingParameters())
    slid = Golfer(SwingParameters(departures=Departures(slide_m=0.04)))

    at_top = [g.pose(np.array([-0.27])).pelvis[0, 0] for g in (plain, slid)]
    assert at_top[0] - at_top[1] == pytest.approx(0.04, abs=1e-6)


def test_the_same_parameters_give_the_same_document(tmp_path: Path) -> None:
    made = [
        clip_truth(Golfer(SwingParameters()), FACE_ON, "a.mp4", first_ns=-1_500_000_000, frames=9)
        for _ in range(2)
    ]
    path = tmp_path / "a.truth.json"
    path.write_text(truth_text(made[0]), encoding="utf-8")

    assert truth_text(made[0]) == truth_text(made[1])
    assert load_truth(path) == made[0]


def test_a_damaged_truth_is_named(tmp_path: Path) -> None:
    path = tmp_path / "b.truth.json"
    path.write_text(json.dumps({"schema": 1}), encoding="utf-8")

    with pytest.raises(BadInputError, match=r"b\.truth\.json"):
        load_truth(path)
    assert json.loads(path.read_text(encoding="utf-8")) == {"schema": 1}


def test_a_rehearsal_has_no_contact_and_says_what_its_zero_is() -> None:
    golfer = Golfer(SwingParameters(kind=SwingKind.REHEARSAL))

    truth = clip_truth(golfer, FACE_ON, "a.mp4", first_ns=-1, frames=1)

    assert truth.contact_picture_media_ns is None
    assert truth.contact_sound_media_ns is None
    assert "bottom of the arc" in _moment(truth.swing, Moment.IMPACT).rule
    assert truth.swing.ball_speed_m_s == 0.0
