"""The plain listener hears what the finder for whole sounds finds, block by block."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.capture.ear import BlockListener, Ear, Listened
from capturestation.records import SoundArray
from capturestation.records.capture import Candidate
from capturestation.timing.strike import find_strikes
from tests.helpers.coded_media import click

RATE_HZ = 48_000
S = 1_000_000_000
START_NS = 77 * S


def room(*, strikes_s: list[float], long_s: float = 4.0, noise: float = 0.002) -> SoundArray:
    """A quiet room with clicks in it."""
    sound = np.random.default_rng(2).normal(0, noise, round(long_s * RATE_HZ)).astype(np.float32)
    for at_s in strikes_s:
        sound += click(at_s=at_s, long_s=long_s, strength=0.5)
    return sound


def heard_in(sound: SoundArray, size: int) -> list[Candidate]:
    listener = BlockListener()
    heard: list[Candidate] = []
    for first in range(0, len(sound), size):
        start_ns = START_NS + first * S // RATE_HZ
        heard += listener.hear(sound[first : first + size], RATE_HZ, start_ns)
    return heard


@pytest.mark.parametrize("size", [100, 480, 4800])
def test_each_strike_is_heard_once_where_the_whole_sound_has_it(size: int) -> None:
    sound = room(strikes_s=[0.5, 1.2003, 2.1], long_s=2.5)

    heard = heard_in(sound, size)

    whole = sorted(o.arrival_ns for o in find_strikes(sound, RATE_HZ, START_NS))
    assert [c.at_host_ns for c in heard] == pytest.approx(whole, abs=50_000)
    assert len(heard) == 3


def test_a_room_without_a_strike_is_silent() -> None:
    assert heard_in(room(strikes_s=[], noise=0.05), 480) == []


def test_a_strike_is_known_within_a_tenth_of_a_second() -> None:
    sound = room(strikes_s=[1.0])

    early = heard_in(sound[: round(1.1 * RATE_HZ)], 480)

    assert len(early) == 1


def test_what_does_not_follow_on_is_heard_as_a_new_beginning() -> None:
    listener = BlockListener()
    sound = room(strikes_s=[0.05], long_s=1.0)
    listener.hear(sound[: RATE_HZ // 2], RATE_HZ, START_NS)

    late = listener.hear(sound, RATE_HZ, START_NS + 9 * S)

    assert [c for c in late if c.at_host_ns < START_NS + 9 * S] == []


def test_the_ear_tells_what_is_heard_and_how_loud_it_was() -> None:
    heard: list[Candidate] = []
    ear = Ear(BlockListener(), heard.append)
    sound = room(strikes_s=[0.5], long_s=1.0)
    ear.start()
    for first in range(0, len(sound), 480):
        at_ns = START_NS + first * S // RATE_HZ
        block = sound[first : first + 480]
        ear.take(Listened(samples=block, rate_hz=RATE_HZ, start_host_ns=at_ns))

    ear.stop()

    count, peak, power = ear.level()
    assert [round((c.at_host_ns - START_NS) / 1e6) for c in heard] == [500]
    assert count == len(sound)
    assert peak == pytest.approx(float(np.abs(sound).max()))
    assert power == pytest.approx(float(np.mean(sound**2)), rel=1e-3)
    assert ear.level() == (0, 0.0, 0.0)


def test_an_ear_that_dies_says_so() -> None:
    def broken(candidate: Candidate) -> None:
        msg = f"broken on purpose at {candidate.u_ns}"
        raise ZeroDivisionError(msg)

    ear = Ear(BlockListener(), broken)
    sound = room(strikes_s=[0.5], long_s=1.0)
    ear.start()
    for first in range(0, len(sound), 480):
        block = sound[first : first + 480]
        at_ns = first * S // RATE_HZ
        ear.take(Listened(samples=block, rate_hz=RATE_HZ, start_host_ns=at_ns))

    with pytest.raises(RuntimeError, match="the ear died"):
        ear.stop()
