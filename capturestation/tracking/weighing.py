"""How much what a view shows speaks for our ball having been struck, signs weighed together.

A view's evidence is the logarithm of how many times likelier its pictures are if a ball was struck:
one of the things that went away in it was that ball, or none of them. Views add up, so a view that
shows nothing takes nothing away, and two that are each a little likely are enough together. The
weights come from rendered mats (`python -m tests.bench._leaving FILE`), by maximum likelihood.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from itertools import chain

import numpy as np

from capturestation.records import FloatArray
from capturestation.tracking.ball import BallSpot
from capturestation.tracking.leaving import Gone

SIGNS = (
    "always",
    "like",
    "at_once",
    "still",
    "bare",
    "club_ratio",
    "untimely",
    "long",
    "club",
    "lay",
    "lies",
    "clear",
)
"""What is weighed, in the order of `signs`; the table adds where all evidence starts from."""
START = "start"
_LEAST_SHARE, _LEAST_CLUB, _LEAST_OTHERWISE = 0.002, 0.5, 0.3
_LEAST_CLEAR = 1e-3
_FARTHEST_PX = 60.0
_DUE_MS, _SLACK_MS, _STEP_MS, _LONG_MS = 35.0, 35.0, 25.0, 30.0
# A camera's pictures come 0-60 ms late and the sound 12 ms: within that no time is likelier.
_HIGHEST_LOG = 40.0


def signs(
    gone: Gone, clear: float, lay: Sequence[BallSpot], lies: Sequence[BallSpot], at_ns: int
) -> FloatArray:
    """What is weighed of a thing that went away.

    Args:
        gone: The thing.
        clear: How clearly it stands out, as `changed_spots` says.
        lay: Where something like a ball lay before, or was seen to lie earlier.
        lies: Where something like a ball lies after.
        at_ns: The sound.

    Returns:
        (signs,) in the order of `SIGNS`.
    """
    last_ns, first_ns = gone.bracket.last_with_ns - at_ns, gone.bracket.first_without_ns - at_ns
    untimely_ms = max(0.0, abs((last_ns + first_ns) / 2e6 - _DUE_MS) - _SLACK_MS)
    return np.array([
        1.0,
        gone.spot.confidence,
        gone.bracket.confidence,
        np.log(gone.still + _LEAST_SHARE),
        np.log(gone.bare + _LEAST_SHARE),
        np.log((gone.club + _LEAST_CLUB) / (gone.otherwise + _LEAST_OTHERWISE)),
        untimely_ms / _STEP_MS,
        (first_ns - last_ns) / 1e6 / _LONG_MS,
        np.log(gone.club + _LEAST_CLUB),
        np.log(1.0 + _nearest_px(gone.spot, lay)),
        np.log(1.0 + _nearest_px(gone.spot, lies)),
        np.log(max(clear, _LEAST_CLEAR)),
    ])  # fmt: skip


def weights_of(found: Sequence[FloatArray]) -> FloatArray:
    """How many times likelier each thing that went away is the struck ball than not, logarithms.

    Args:
        found: The signs of each.

    Returns:
        (things,).
    """
    weights = _weights()
    by_sign = np.array([weights[name] for name in SIGNS])
    return np.array([min(float(one @ by_sign), _HIGHEST_LOG) for one in found])


def evidence(weights: FloatArray) -> float:
    """What one view's pictures say, 0 or more, from the weights of all that went away in it."""
    return float(np.log1p(np.exp(weights).sum()))


def log_odds(views: Sequence[float]) -> float:
    """For a ball having been struck, from the evidence of all views; above 0 it is the likelier."""
    return _weights()[START] + sum(views)


@cache
def _weights() -> dict[str, float]:
    text = files("capturestation.tracking").joinpath("leaving_weights.csv").read_text("utf-8")
    return {row["sign"]: float(row["weight"]) for row in csv.DictReader(text.splitlines())}


def _nearest_px(spot: BallSpot, others: Sequence[BallSpot]) -> float:
    apart = (float(np.hypot(o.x_px - spot.x_px, o.y_px - spot.y_px)) for o in others)
    return min(chain(apart, (_FARTHEST_PX,)))
