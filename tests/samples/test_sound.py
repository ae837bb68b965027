"""The sound of invented swings."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import ClubGroup, FloatArray, SwingKind
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.sound import NEXT_BAY_M, SOUND_RATE_HZ, heard, strike, swing_sound
from sample_sessions.surroundings import Surroundings
from sample_sessions.truth import clip_truth, speed_of_sound_m_s

FIRST_S = -1.5
BOTH = pytest.mark.parametrize("camera", [FACE_ON, DOWN_THE_LINE], ids=lambda c: str(c.view))
GROUPS = [ClubGroup.DRIVER, ClubGroup.IRON, ClubGroup.WEDGE]


def _band(sound: FloatArray) -> FloatArray:
    """2 to 8 kHz, without a phase shift."""
    spectrum = np.fft.rfft(sound)
    frequency = np.fft.rfftfreq(len(sound), 1.0 / SOUND_RATE_HZ)
    spectrum[(frequency < 2000.0) | (frequency > 8000.0)] = 0.0
    return np.asarray(np.fft.irfft(spectrum, len(sound)), dtype=np.float64)


@pytest.mark.parametrize("group", GROUPS)
def test_a_strike_is_silent_before_contact_and_rises_within_the_published_time(
    group: ClubGroup,
) -> None:
    time_s = np.arange(-480, 960) / SOUND_RATE_HZ

    sound = strike(time_s, group)

    assert not sound[time_s <= 0.0].any()
    assert sound[time_s > 0.0][0] != 0.0
    assert 0.0001 <= time_s[int(np.argmax(np.abs(sound)))] <= 0.0006


def test_a_drivers_strongest_peak_is_at_two_to_three_kilohertz() -> None:
    sound = strike(np.arange(4096) / SOUND_RATE_HZ, ClubGroup.DRIVER)

    power = np.abs(np.fft.rfft(sound))
    assert 2000.0 < np.fft.rfftfreq(4096, 1.0 / SOUND_RATE_HZ)[int(np.argmax(power))] < 3000.0


@BOTH
def test_the_strike_arrives_late_by_the_distance_and_the_cameras_delay(camera: Camera) -> None:
    golfer = Golfer(SwingParameters())
    sound = swing_sound(golfer, camera, first_s=FIRST_S, span_s=2.0)
    distance_m = float(np.linalg.norm(golfer.ball_at - np.asarray(camera.at_m)))
    arrival_s = -FIRST_S + distance_m / speed_of_sound_m_s() + camera.sound_late_s

    # What is left without the strike is the same noise, so the first difference is the onset.
    softer = np.abs(sound.astype(np.float64))
    place = round(arrival_s * SOUND_RATE_HZ)
    quiet, loud = softer[place - 480 : place].max(), softer[place : place + 48].max()
    onset = place - 480 + int(np.argmax(softer[place - 480 : place + 96] > 2.5 * quiet))

    assert loud > 8.0 * quiet
    assert onset / SOUND_RATE_HZ == pytest.approx(arrival_s, abs=0.00025)
    truth = clip_truth(golfer, camera, "a", first_ns=round(FIRST_S * 1e9), frames=1)
    assert truth.contact_sound_media_ns == pytest.approx(arrival_s * 1e9, abs=1000)


@BOTH
def test_the_strike_stands_25_db_over_the_room(camera: Camera) -> None:
    golfer = Golfer(SwingParameters())
    sound = _band(swing_sound(golfer, camera, first_s=FIRST_S, span_s=2.0).astype(np.float64))
    at_s = heard(golfer, camera).strike_s + camera.sound_late_s - FIRST_S
    at = round(at_s * SOUND_RATE_HZ)

    after, before = sound[at : at + 480], sound[at - 960 : at - 5]

    assert 20.0 * np.log10(np.std(after) / np.std(before)) > 25.0


@pytest.mark.parametrize(("club", "later_s"), [("driver", 0.055), ("sand wedge", 0.095)])
def test_the_net_thuds_after_the_strike(club: str, later_s: float) -> None:
    arrives = heard(Golfer(SwingParameters(club_name=club)), FACE_ON)

    assert arrives.net_s - arrives.strike_s == pytest.approx(later_s, abs=0.012)


def test_the_seed_decides_the_noise_and_nothing_clips() -> None:
    one, same, other = (
        swing_sound(Golfer(SwingParameters(seed=seed)), FACE_ON, first_s=FIRST_S, span_s=1.8)
        for seed in (3, 3, 4)
    )

    assert np.array_equal(one, same)
    assert not np.array_equal(one, other)
    assert np.abs(one).max() < 0.95


def test_the_next_bays_strike_arrives_as_loud_as_ours() -> None:
    around = Surroundings(next_bay_s=(0.5,))
    golfer = Golfer(SwingParameters(around=around))
    sound = swing_sound(golfer, FACE_ON, first_s=FIRST_S, span_s=2.4)
    at_s = 0.5 + NEXT_BAY_M / speed_of_sound_m_s() - FIRST_S
    ours = round((heard(golfer, FACE_ON).strike_s - FIRST_S) * SOUND_RATE_HZ)
    theirs = round(at_s * SOUND_RATE_HZ)

    peaks = [float(np.abs(sound[at : at + 240]).max()) for at in (ours, theirs)]

    assert peaks[1] == pytest.approx(peaks[0], rel=0.1)
    assert np.abs(sound[theirs - 480 : theirs]).max() < 0.1 * peaks[1]


def test_a_rehearsal_is_heard_only_as_a_rush_of_air() -> None:
    golfer = Golfer(SwingParameters(kind=SwingKind.REHEARSAL))

    sound = swing_sound(golfer, FACE_ON, first_s=FIRST_S, span_s=2.4)

    assert np.abs(sound).max() < 0.05
