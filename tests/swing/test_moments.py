"""The moments from motion, against the truth of invented swings."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from capturestation.records import IntArray, Mark, Moment, Sync, SyncSource, View
from capturestation.swing.moments import find_moments
from capturestation.swing.tracks import MotionTrack
from tests.helpers.swings import Motion, motion_energy_of, truth_s

SWINGS = [
    Motion(),
    Motion(back_s=0.7, down_s=0.22),
    Motion(back_s=1.1, down_s=0.36, top_rad=3.0),
    Motion(waggle=True),
    Motion(back_s=0.6, down_s=0.3, top_rad=2.0, through_s=0.5),
]


def stamps(
    rate_hz: float, phase: float = 0.0, before_s: float = 2.6, after_s: float = 1.6
) -> IntArray:
    step = 1e9 / rate_hz
    return ((np.arange(round((before_s + after_s) * rate_hz)) + phase) * step).astype(
        np.int64
    ) - round(before_s * 1e9)


def found(
    motion: Motion, *, rates: tuple[float, ...] = (120.0, 120.0), noise: float = 0.01
) -> dict[Moment, Mark]:
    tracks = [
        MotionTrack(
            times_ns=stamps(rate, 0.37 * i),
            energy=motion_energy_of(i, stamps(rate, 0.37 * i), motion, noise=noise),
        )
        for i, rate in enumerate(rates)
    ]
    return {mark.moment: mark for mark in find_moments(tracks, zero_u_ns=2_000_000)}


@pytest.mark.parametrize("rates", [(120.0, 120.0), (60.0, 60.0), (240.0,), (30.0, 120.0)])
@pytest.mark.parametrize("motion", SWINGS, ids=lambda motion: repr(motion)[7:-1])
def test_top_is_found_within_a_few_frames_and_inside_its_interval(
    motion: Motion, rates: tuple[float, ...]
) -> None:
    """McNally et al. 2019: a thirtieth of the time from address to impact, 37 ms of 1.1 s."""
    top_s = truth_s(motion)[Moment.TOP]

    mark = found(motion, rates=rates)[Moment.TOP]

    assert mark.at_ns == pytest.approx(top_s * 1e9, abs=37e6)
    assert (mark.early_ns or 0) <= top_s * 1e9 <= (mark.late_ns or 0)


@pytest.mark.parametrize("noise", [0.002, 0.01, 0.03])
@pytest.mark.parametrize("motion", SWINGS, ids=lambda motion: repr(motion)[7:-1])
def test_the_club_starts_inside_its_interval_and_within_six_hundredths(
    motion: Motion, noise: float
) -> None:
    starts_s = truth_s(motion)[Moment.CLUB_STARTS]

    mark = found(motion, noise=noise)[Moment.CLUB_STARTS]

    assert mark.at_ns == pytest.approx(starts_s * 1e9, abs=60e6)
    assert (mark.early_ns or 0) <= starts_s * 1e9 <= (mark.late_ns or 0)


@pytest.mark.parametrize("motion", SWINGS, ids=lambda motion: repr(motion)[7:-1])
def test_finish_is_given_as_an_interval_that_holds_it(motion: Motion) -> None:
    finish_s = truth_s(motion)[Moment.FINISH]

    mark = found(motion)[Moment.FINISH]

    assert (mark.early_ns or 0) <= finish_s * 1e9 <= (mark.late_ns or 0)


def test_set_is_the_stillness_before_the_club_starts_and_after_the_waggle() -> None:
    motion = Motion(waggle=True)

    mark = found(motion)[Moment.SET]

    assert motion.start_s - 0.65 <= (mark.early_ns or 0) * 1e-9
    assert motion.start_s - 0.5 <= (mark.at_ns or 0) * 1e-9 < motion.start_s


def test_impact_is_zero_give_or_take_two_standard_uncertainties() -> None:
    mark = found(Motion())[Moment.IMPACT]

    assert (mark.early_ns, mark.at_ns, mark.late_ns) == (-4_000_000, 0, 4_000_000)


def test_moments_that_need_a_shaft_are_left_unmarked_and_not_denied() -> None:
    marks = found(Motion())

    assert set(marks) == {Moment.SET, Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT, Moment.FINISH}
    assert all(mark.occurs for mark in marks.values())


def test_a_recording_that_begins_in_the_swing_has_no_start() -> None:
    times_ns = stamps(120.0, before_s=1.0)
    track = MotionTrack(times_ns=times_ns, energy=motion_energy_of(1, times_ns, Motion(back_s=1.0)))

    marks = {mark.moment for mark in find_moments([track], zero_u_ns=1)}

    assert Moment.CLUB_STARTS not in marks
    assert Moment.TOP in marks


@pytest.mark.parametrize("energy", [0.0, 0.5])
def test_a_still_picture_has_only_its_impact(energy: float) -> None:
    times_ns = stamps(60.0)
    noise = 0.01 * np.random.default_rng(1).random(len(times_ns)) * energy
    track = MotionTrack(times_ns=times_ns, energy=np.full(len(times_ns), energy) + noise)

    marks = find_moments([track], zero_u_ns=1)

    assert [mark.moment for mark in marks if mark.moment is not Moment.FINISH] == [Moment.IMPACT]


@pytest.mark.parametrize("tracks", [[], [MotionTrack(times_ns=np.arange(0), energy=np.zeros(0))]])
def test_no_track_says_nothing_but_impact(tracks: list[MotionTrack]) -> None:
    assert [mark.moment for mark in find_moments(tracks, zero_u_ns=1)] == [Moment.IMPACT]


def test_a_track_moves_to_the_swings_clock() -> None:
    track = MotionTrack(times_ns=np.array([1, 2]), energy=np.zeros(2))

    sync = Sync(view=View.FACE_ON, swing_minus_media_ns=-2, u_ns=1, source=SyncSource.HAND)

    assert track.placed(sync).times_ns.tolist() == [-1, 0]
    assert track.placed(replace(sync, media_per_swing=Fraction(1, 2))).times_ns.tolist() == [0, 2]


def test_a_blink_of_one_frame_is_not_the_busiest_time() -> None:
    energy = np.array([0.0, 0.0, 9.0, 0.0, 0.0, 2.0, 3.0, 2.0, 0.0])
    track = MotionTrack(times_ns=np.arange(9) * 10, energy=energy)

    assert track.busiest_ns(2, 30) == (20, 60)
    assert track.without_blinks().busiest_ns(1, 30)[0] in (50, 60, 70)


@pytest.mark.parametrize(("times", "energy"), [([1, 2], [0.0]), ([2, 2], [0.0, 0.0])])
def test_a_track_must_be_even_and_rise(times: list[int], energy: list[float]) -> None:
    with pytest.raises(ValueError, match=r"times"):
        MotionTrack(times_ns=np.array(times), energy=np.array(energy))
