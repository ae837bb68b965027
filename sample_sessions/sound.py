"""What a camera's microphone hears: the strike, its echoes, the club's rush, the net, the room.

Owns sound as samples. The strike follows published figures: contact lasts about 0.5 ms, it rises
within 0.1 to 0.6 ms and rings in a few damped modes between 2 and 8 kHz. Everything is evaluated at
exact times, so an onset falls between samples where it must. Refuses files.

Source:
    Contact 0.5 ms: USGA, "What happens in the collision between club and ball", 2025. Driver peaks
    at 2-3 kHz: Russell and Kerrian, 171st ASA meeting, 2016. Irons and wedges: no published table;
    invented here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import ClubGroup, FloatArray, SoundArray
from sample_sessions.cameras import Camera
from sample_sessions.golfer import NET_X_M, Golfer
from sample_sessions.truth import speed_of_sound_m_s

SOUND_RATE_HZ = 48_000
STRIKE_PEAK = 0.62
CONTACT_S = 0.0005
RISE_S = 0.0002
_MODES = {
    ClubGroup.DRIVER: ((2350.0, 1.0, 0.010), (2900.0, 0.8, 0.008), (4100.0, 0.4, 0.005),
                       (5600.0, 0.2, 0.003)),
    ClubGroup.IRON: ((2650.0, 0.7, 0.005), (3900.0, 1.0, 0.004), (5900.0, 0.5, 0.0025)),
    ClubGroup.WEDGE: ((2300.0, 0.8, 0.004), (3400.0, 1.0, 0.004), (5200.0, 0.4, 0.002)),
}  # fmt: skip
# Frequency in Hz, weight, decay in s.
_ECHOES = ((0.0061, 0.22), (0.0113, 0.16), (0.0172, 0.11), (0.0264, 0.07), (0.0391, 0.04))
# Later by s, times as loud: floor, walls, ceiling.
NEXT_BAY_M = 3.5
# From the next bay's ball to our microphone.
_THUD_HZ = (85.0, 140.0, 260.0, 420.0)
_ROOM_RMS = 0.0032
_RUSH_PEAK = 0.010


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """When things reach one microphone, seconds of the swing's clock (camera delay not in)."""

    strike_s: float
    net_s: float


def heard(golfer: Golfer, camera: Camera) -> Heard:
    """Arrival of strike and net at the camera's own microphone."""
    at, speed = np.asarray(camera.at_m), speed_of_sound_m_s()
    launch = np.radians(golfer.swing.club.launch_deg)
    speed_m_s = max(golfer.ball_speed_m_s, 1.0)
    net_s = NET_X_M / (speed_m_s * float(np.cos(launch)))
    net_at = np.array([NET_X_M, 0.0, golfer.ball_at[2] + NET_X_M * float(np.tan(launch))])
    return Heard(
        strike_s=float(np.linalg.norm(golfer.ball_at - at)) / speed,
        net_s=net_s + float(np.linalg.norm(net_at - at)) / speed,
    )


def swing_sound(golfer: Golfer, camera: Camera, *, first_s: float, span_s: float) -> SoundArray:
    """The sound track of one clip.

    Args:
        golfer: Who swings; his seed decides the noise.
        camera: Whose microphone; its delay is put in.
        first_s: The clip's media zero on the swing's clock.
        span_s: Length of the track.

    Returns:
        Mono at `SOUND_RATE_HZ`, shape (n,), -1..1.
    """
    count = round(span_s * SOUND_RATE_HZ)
    time_s = first_s - camera.sound_late_s + np.arange(count) / SOUND_RATE_HZ
    arrives = heard(golfer, camera)
    group = golfer.swing.club.group
    loud = golfer.swing.by_kind(1.0, 0.8, 0.5)
    total = np.zeros(count)
    if golfer.swing.strikes:
        total += _with_echoes(time_s - arrives.strike_s, loud, group)
        total += 0.30 * loud * thud(time_s - arrives.net_s, golfer.swing.seed)
    around = golfer.swing.around
    for at_s in around.next_bay_s:
        later_s = at_s + NEXT_BAY_M / speed_of_sound_m_s()
        total += _with_echoes(time_s - later_s, around.next_bay_share, ClubGroup.IRON)
    random = np.random.default_rng((golfer.swing.seed, len(camera.name)))
    total += _room(count, random) + _rush(golfer, time_s - arrives.strike_s, random)
    return np.clip(total, -1.0, 1.0).astype(np.float32)


def _with_echoes(since_s: FloatArray, loud: float, group: ClubGroup) -> FloatArray:
    total = loud * strike(since_s, group)
    for later_s, share in _ECHOES:
        total += loud * share * strike(since_s - later_s, group)
    return total


def strike(since_s: FloatArray, group: ClubGroup) -> FloatArray:
    """The bare strike, exactly 0 before `since_s` is 0; shape (n,), peak near `STRIKE_PEAK`."""
    after = np.maximum(since_s, 0.0)
    rise = np.sin(0.5 * np.pi * np.minimum(after / RISE_S, 1.0)) ** 2
    ring = np.zeros_like(after)
    for frequency_hz, weight, decay_s in _MODES.get(group, _MODES[ClubGroup.IRON]):
        ring += weight * np.sin(2.0 * np.pi * frequency_hz * after) * np.exp(-after / decay_s)
    inside = after < CONTACT_S
    push = np.where(inside, np.sin(np.pi * after / CONTACT_S), 0.0)
    return np.asarray(STRIKE_PEAK * (0.40 * rise * ring + 0.60 * push), dtype=np.float64)


def thud(since_s: FloatArray, seed: int) -> FloatArray:
    """The net: low, slow to rise, a little rustle; 0 before; shape (n,)."""
    after = np.maximum(since_s, 0.0)
    swell = (after / 0.004) * np.exp(1.0 - after / 0.004)
    low = sum(
        np.sin(2.0 * np.pi * frequency * after + place) / (place + 1.0)
        for place, frequency in enumerate(_THUD_HZ)
    )
    rustle = np.random.default_rng((seed, 7)).normal(0.0, 0.10, len(after))
    return np.asarray(swell * (0.5 * low + rustle), dtype=np.float64)


def _room(count: int, random: np.random.Generator) -> FloatArray:
    """Ventilation: pinkish noise over a faint mains hum, RMS `_ROOM_RMS`."""
    spectrum = np.fft.rfft(random.normal(size=count))
    frequency = np.fft.rfftfreq(count, 1.0 / SOUND_RATE_HZ)
    shape = 1.0 / np.sqrt(np.maximum(frequency, 40.0) / 40.0)
    noise = np.fft.irfft(spectrum * shape / np.sqrt(1.0 + (frequency / 6000.0) ** 4), count)
    time_s = np.arange(count) / SOUND_RATE_HZ
    hum = 0.4 * np.sin(2.0 * np.pi * 100.0 * time_s) + 0.15 * np.sin(2.0 * np.pi * 200.0 * time_s)
    total = noise / max(float(np.std(noise)), 1e-12) + hum
    return np.asarray(_ROOM_RMS * total, dtype=np.float64)


def _rush(golfer: Golfer, since_s: FloatArray, random: np.random.Generator) -> FloatArray:
    """The club through the air: soft noise that follows the sixth power of its speed."""
    near = (since_s > -0.30) & (since_s < 0.15)
    total = np.zeros_like(since_s)
    if not near.any():
        return total
    grid = np.arange(-0.32, 0.17, 0.002)
    faces = golfer.pose(grid).club_face
    speed = np.linalg.norm(np.gradient(faces, grid, axis=0), axis=1)
    loud = (speed / speed.max()) ** 6
    noise = random.normal(size=len(since_s))
    soft = np.convolve(noise, np.hanning(49) / np.sqrt(np.sum(np.hanning(49) ** 2)), mode="same")
    total[near] = _RUSH_PEAK * 0.4 * soft[near] * np.interp(since_s[near], grid, loud)
    return total
