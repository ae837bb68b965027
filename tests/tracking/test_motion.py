"""How much moves, from pictures of an invented golfer."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FrameArray, IntArray, Moment
from capturestation.swing.moments import find_moments
from capturestation.swing.tracks import MotionTrack
from capturestation.tracking.motion import motion_energy
from tests.helpers.pictures import Bay, swing_pictures
from tests.helpers.swings import Motion, truth_s

MS = 1_000_000


def stamps(rate_hz: float, first_s: float, last_s: float) -> IntArray:
    return (np.arange(first_s, last_s, 1 / rate_hz) * 1e9).astype(np.int64)


def track(bay: Bay, motion: Motion, rate_hz: float = 60.0) -> MotionTrack:
    times_ns = stamps(rate_hz, -2.2, 1.4)
    return motion_energy(swing_pictures(1, times_ns, motion, bay), times_ns)


@pytest.mark.parametrize(
    "bay", [Bay(), Bay(flicker=0.1), Bay(noise=4.0)], ids=["plain", "flicker", "noise"]
)
def test_stillness_has_no_energy_and_the_way_down_has_most(bay: Bay) -> None:
    motion = Motion()

    seen = track(bay, motion)

    still = seen.times_ns < (motion.start_s - 0.05) * 1e9
    down = (seen.times_ns > -200e6) & (seen.times_ns < 0)
    assert seen.energy[still].max() < 0.03 * seen.energy[down].max()
    assert seen.energy[down].max() == pytest.approx(seen.energy.max(), rel=0.25)


@pytest.mark.parametrize("bay", [Bay(), Bay(flicker=0.1, noise=3.0)], ids=["plain", "hard"])
@pytest.mark.parametrize(
    "motion",
    [Motion(), Motion(back_s=0.7, down_s=0.22), Motion(back_s=1.0, down_s=0.34, top_rad=3.2)],
)
def test_pictures_lead_to_top_and_start_within_the_published_tolerance(
    motion: Motion, bay: Bay
) -> None:
    """McNally et al. 2019: a thirtieth of the time from address to impact for each moment."""
    truth = truth_s(motion)

    marks = {m.moment: m for m in find_moments([track(bay, motion)], zero_u_ns=1)}

    tolerance_ns = (motion.back_s + motion.down_s) / 30 * 1e9
    assert marks[Moment.TOP].at_ns == pytest.approx(truth[Moment.TOP] * 1e9, abs=tolerance_ns)
    starts = marks[Moment.CLUB_STARTS]
    assert (starts.early_ns or 0) <= truth[Moment.CLUB_STARTS] * 1e9 <= (starts.late_ns or 0)
    assert (starts.late_ns or 0) - (starts.early_ns or 0) < 200e6


def test_each_energy_stands_half_way_between_its_pictures() -> None:
    greys = [np.full((20, 30), 90, dtype=np.uint8)] * 3

    seen = motion_energy(greys, np.array([0, 10, 30]) * MS)

    assert seen.times_ns.tolist() == [5 * MS, 20 * MS]
    assert seen.energy.tolist() == [0.0, 0.0]


def test_at_a_high_rate_pictures_a_120th_of_a_second_apart_are_compared() -> None:
    times_ns = np.arange(0, 200 * MS, 25 * MS // 6)
    levels = np.full((len(times_ns), 60, 60), 90, dtype=np.uint8)
    for number, grey in enumerate(levels):
        # A bright bar as wide as it moves in two pictures: neighbours hold half of it in common.
        grey[10:50, 2 * number % 50 : 2 * number % 50 + 4] = 200

    quick = motion_energy(iter(levels), times_ns)
    usual = motion_energy(iter(levels[::2]), times_ns[::2])

    assert len(quick.energy) == len(times_ns) - 1
    assert np.all(np.diff(quick.times_ns) > 0)
    assert quick.times_ns[1::2].tolist() == usual.times_ns.tolist()
    assert quick.energy[1::2].tolist() == usual.energy.tolist()
    assert np.median(quick.energy) > 1.5 * quick.energy[0] > 0


@pytest.mark.parametrize("n", [0, 1])
def test_fewer_than_two_pictures_have_no_motion(n: int) -> None:
    greys = [np.zeros((20, 30), dtype=np.uint8)] * n

    assert len(motion_energy(greys, np.arange(n)).energy) == 0


def test_as_many_stamps_as_pictures_are_needed() -> None:
    greys: list[FrameArray] = [np.zeros((20, 30), dtype=np.uint8)] * 3

    with pytest.raises(ValueError, match="3 pictures and 4 stamps"):
        motion_energy(greys, np.arange(4))
