"""Real sudden sounds that are no strike, cut out of recordings: speech, percussion, machines."""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray
from tests.helpers.real_sounds import RATE_HZ, recordings

LONG_S = 0.5
_BEFORE_S = 0.02
_APART_S = 0.15
_STEP = 1.8
_MOST_OF_ONE = 12
# Of one recording: beyond that they are one thing over and over.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Transient:
    """One sudden sound.

    Args:
        name: The recording it is from.
        samples: (n,) at 48 kHz, peak 1, beginning 20 ms before it.
    """

    name: str
    samples: FloatArray


@functools.cache
def transients(names: tuple[str, ...]) -> tuple[Transient, ...]:
    """All of those recordings, each at another place."""
    recorded = recordings(names)
    return tuple(
        Transient(name=name, samples=cut) for name in names for cut in _cuts(recorded[name])
    )


def _cuts(recorded: FloatArray) -> list[FloatArray]:
    """Stretches that begin where a recording becomes suddenly louder, loudest jumps first."""
    size = RATE_HZ // 100
    padded = np.concatenate([np.zeros(4 * size), recorded, np.zeros(round(LONG_S * RATE_HZ))])
    bins = len(padded) // size
    level = np.sqrt(np.mean(padded[: bins * size].reshape(bins, size) ** 2, axis=1)) + 1e-3
    jump = level[4:] / np.maximum.reduce([level[3:-1], level[2:-2], level[1:-3], level[:-4]])
    cuts: list[FloatArray] = []
    taken: list[int] = []
    for n in np.argsort(-jump):
        far = all(abs(int(n) - other) * size >= _APART_S * RATE_HZ for other in taken)
        if jump[n] < _STEP or len(cuts) >= _MOST_OF_ONE:
            break
        if far:
            taken.append(int(n))
            first = max((int(n) + 4) * size - round(_BEFORE_S * RATE_HZ), 0)
            cut = padded[first : first + round(LONG_S * RATE_HZ)].copy()
            fade = np.linspace(1, 0, size)
            cut[-size:] *= fade
            cuts.append(cut / np.abs(cut).max())
    return cuts
