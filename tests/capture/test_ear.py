"""The ear hands sound to a listener, tells what that hears, and how loud it was."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.capture.clock import SourceClock
from capturestation.capture.ear import Ear, Listened, Sounded
from capturestation.records import SoundArray
from capturestation.timing.streaming import StreamingListener
from tests.helpers.coded_media import click

RATE_HZ = 48_000
S = 1_000_000_000
START_NS = 77 * S
CLOCK = SourceClock(own=False)
CLOCK.add(0, 0)


def room(*, strikes_s: list[float], long_s: float = 4.0, noise: float = 0.002) -> SoundArray:
    """A quiet room with clicks in it."""
    sound = np.random.default_rng(2).normal(0, noise, round(long_s * RATE_HZ)).astype(np.float32)
    for at_s in strikes_s:
        sound += click(at_s=at_s, long_s=long_s, strength=0.5)
    return sound


def test_the_ear_tells_what_is_heard_and_how_loud_it_was() -> None:
    heard: list[Sounded] = []
    ear = Ear(StreamingListener(), heard.append)
    sound = room(strikes_s=[0.5], long_s=1.0)
    ear.start()
    for first in range(0, len(sound), 480):
        at_ns = START_NS + first * S // RATE_HZ
        block = sound[first : first + 480]
        ear.take(Listened(samples=block, rate_hz=RATE_HZ, start_device_ns=at_ns, clock=CLOCK))

    ear.stop()

    count, peak, power = ear.level()
    assert [round((c.by_host().at_host_ns - START_NS) / 1e6) for c in heard] == [500]
    assert count == len(sound)
    assert peak == pytest.approx(float(np.abs(sound).max()))
    assert power == pytest.approx(float(np.mean(sound**2)), rel=1e-3)
    assert ear.level() == (0, 0.0, 0.0)


def test_an_ear_that_dies_says_so() -> None:
    def broken(sounded: Sounded) -> None:
        msg = f"broken on purpose at {sounded.candidate.u_ns}"
        raise ZeroDivisionError(msg)

    ear = Ear(StreamingListener(), broken)
    sound = room(strikes_s=[0.5], long_s=1.0)
    ear.start()
    for first in range(0, len(sound), 480):
        block = sound[first : first + 480]
        at_ns = first * S // RATE_HZ
        ear.take(Listened(samples=block, rate_hz=RATE_HZ, start_device_ns=at_ns, clock=CLOCK))

    with pytest.raises(RuntimeError, match="the ear died"):
        ear.stop()
