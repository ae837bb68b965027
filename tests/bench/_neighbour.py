"""How often our strike is taken where somebody next door strikes a ball louder than ours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from capturestation.errors import TimingRefusedError
from capturestation.media.sound import Sound
from capturestation.records import NS_PER_S, SyncSource, View
from capturestation.station.zero import heard_again
from capturestation.timing.ball import BallBracket
from capturestation.timing.delay import KnownDelay
from capturestation.timing.strike import find_strikes
from capturestation.timing.sync import place_zero
from tests.bench._listening import FRAME_NS, KNOWN, SHUTTER, bracket_of, microphone_of
from tests.bench._strikes import Struck, with_neighbour
from tests.bench.report import Detail
from tests.helpers.real_sounds import RATE_HZ

LOUDER_DB = (0.0, 12.0)
APART_S = (0.004, 0.45)
"""From the first thing that is no echo to what leaves both strikes in the sound; either way."""


def beside_a_neighbour(seed: int, scenes: Sequence[Struck]) -> dict[str, Detail]:
    """Share in which ours is taken, another is, or the sound is left or refused.

    Args:
        seed: Decides the neighbours.
        scenes: Our strikes.
    """
    rng = np.random.default_rng((seed, 1))
    both = []
    for scene in scenes:
        after_s = float(rng.choice((-1.0, 1.0)) * rng.uniform(*APART_S))
        both.append(with_neighbour(rng, scene, after_s, rng.uniform(*LOUDER_DB)))
    brackets = [bracket_of(scene, rng) for scene in both]
    nothing: list[BallBracket | None] = [None] * len(both)
    return {
        "louder_db": list(LOUDER_DB),
        "no picture": _shares(both, nothing, None),
        "ball seen leaving, delay unknown": _shares(both, brackets, None),
        "ball seen leaving, delay known": _shares(both, brackets, KNOWN),
    }


def _shares(
    scenes: Sequence[Struck], brackets: Sequence[BallBracket | None], known: KnownDelay | None
) -> Detail:
    count = Counter(_taken(*one, known) for one in zip(scenes, brackets, strict=True))
    return {f"{name}_pct": round(100 * n / len(scenes), 1) for name, n in sorted(count.items())}


def _taken(scene: Struck, bracket: BallBracket | None, known: KnownDelay | None) -> str:
    """What became of the strike, as the station places a recording."""
    microphone = microphone_of(scene)
    sound = Sound(samples=scene.samples, rate_hz=RATE_HZ, start_ns=0)
    onsets = find_strikes(sound.samples, sound.rate_hz, sound.start_ns)
    if bracket is not None:
        onsets = heard_again(sound, onsets, bracket, (SHUTTER, microphone, known))
    try:
        sync = place_zero(
            view=View.FACE_ON, onsets=onsets, bracket=bracket, shutter=SHUTTER,
            microphone=microphone, known_delay=known,
        )  # fmt: skip
    except TimingRefusedError:
        return "refused"
    apart_ns = abs((sync.sound_ns or 0) - round(scene.contact_s * NS_PER_S))
    ours = sync.sound_ns is not None and apart_ns <= FRAME_NS
    if ours:
        return "ours"
    return "another" if sync.source is SyncSource.SOUND else "picture_alone"
