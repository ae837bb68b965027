"""The weights of what is seen as a ball is struck, found on scenes that no benchmark shows.

`python -m tests.bench._leaving FILE` films 1860 rendered half seconds (an hour and more on two
processors), takes the signs of everything that went away in them, and writes the weights that make
what is known of the scenes likeliest, held back a little from large values.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.optimize import minimize

from capturestation.records import BoolArray, FloatArray, Hand, IntArray
from capturestation.tracking.confirm import BallConfirmer
from capturestation.tracking.weighing import SIGNS, START
from tests.bench import _mat_events as mat
from tests.helpers.filmed_mats import Scene
from tests.helpers.mat_scenes import NOT_STRUCK, Kind, Station, film

_SEEDS = (11, 12, *range(31, 41))
_SCENES, _FIRST, _TIMES = 1860, 30_000, 3
_AT_NS = 10_000_000_000
_VIEWS = 2
_HELD_BACK = 1.0
_HIGHEST_LOG = 40.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """Signs of all scenes in one piece.

    Args:
        signs: (things, signs).
        view_of: (things,) to which scene's which view each belongs, counted through.
        is_struck: (scenes,).
    """

    signs: FloatArray
    view_of: IntArray
    is_struck: BoolArray


def learnt_from() -> list[Scene]:
    """Two of five with a ball struck, the rest of all other kinds by turns, in twelve bays."""
    stations = [Station(seed=s, hand=Hand.RIGHT if s % 2 else Hand.LEFT) for s in _SEEDS]
    found: list[Scene] = []
    for n in range(_SCENES):
        turn, place = divmod(n, 5)
        other = NOT_STRUCK[(3 * turn + place - 2) % len(NOT_STRUCK)]
        kind = Kind.STRUCK if place < 2 else other
        # What moves a ball, and whether a spare one rolls, goes by even and odd numbers.
        found.append((kind, _FIRST + 7 * n + (n // 35) % 2, stations[n % len(stations)]))
    return found


def signs_of(scene: Scene) -> list[list[list[FloatArray]]]:
    """Each time the scene is shown, of each view the signs of each thing."""
    kind, seed, station = scene
    pair = film(kind, seed, station)
    found = []
    for turn in range(_TIMES):
        event = mat.Event(heard=mat.Heard.OURS, shown=kind, scene=0, seed=10 * seed + turn)
        eye = BallConfirmer()
        eye.at_rest(mat.stills_of(event, pair, _AT_NS))
        looks = mat.looks_of(event, pair, _AT_NS)
        found.append([eye.signs_in(look, _AT_NS) for look in looks])
    return found


def gathered(events: Sequence[tuple[bool, list[list[FloatArray]]]]) -> Seen:
    """Whether a ball was struck and what was seen, of all events, in one piece."""
    rows = [
        (_VIEWS * number + view, one)
        for number, (_, views) in enumerate(events)
        for view, things in enumerate(views)
        for one in things
    ]
    return Seen(
        signs=np.array([one for _, one in rows]),
        view_of=np.array([view for view, _ in rows], np.int64),
        is_struck=np.array([struck for struck, _ in events]),
    )


def weights_of(seen: Seen) -> dict[str, float]:
    """Maximum likelihood of `tracking.weighing`, signs of even spread held back alike."""
    middle, spread = seen.signs.mean(axis=0), seen.signs.std(axis=0)
    spread[spread == 0] = 1.0
    middle[0] = 0.0
    even = (seen.signs - middle) / spread
    start = np.r_[np.zeros(even.shape[1]), -2.0]
    best = minimize(
        _cost, start, args=(even, seen), jac=True, method="L-BFGS-B", options={"maxiter": 1000}
    ).x
    weights = best[:-1] / spread
    weights[0] = best[0] - float((best[1:-1] * middle[1:] / spread[1:]).sum())
    return {START: float(best[-1])} | dict(zip(SIGNS, weights.tolist(), strict=True))


def _cost(values: FloatArray, even: FloatArray, seen: Seen) -> tuple[float, FloatArray]:
    """Of weights on even signs: minus the log likelihood, and its slope."""
    likely = np.exp(np.clip(even @ values[:-1], -_HIGHEST_LOG, _HIGHEST_LOG))
    by_view = np.bincount(seen.view_of, likely, _VIEWS * len(seen.is_struck))
    log_odds = values[-1] + np.log1p(by_view).reshape(-1, _VIEWS).sum(axis=1)
    way = np.where(seen.is_struck, 1.0, -1.0)
    wrong = 1.0 / (1.0 + np.exp(way * log_odds))
    held = values[1:-1]
    cost = float(np.logaddexp(0, -way * log_odds).sum() + _HELD_BACK * (held**2).sum())
    slope = -way * wrong
    of_thing = slope[seen.view_of // _VIEWS] * likely / (1.0 + by_view[seen.view_of])
    by_sign = even.T @ of_thing
    by_sign[1:] += 2.0 * _HELD_BACK * held
    return cost, np.r_[by_sign, slope.sum()]


def main(file: Path) -> None:
    """Film, look, weigh, write."""
    scenes = learnt_from()
    with ProcessPoolExecutor() as pool:
        seen = list(pool.map(signs_of, scenes))
    events = [
        (scene[0] is Kind.STRUCK, views)
        for scene, times in zip(scenes, seen, strict=True)
        for views in times
    ]
    written(weights_of(gathered(events)), file)


def written(weights: dict[str, float], file: Path) -> None:
    """The table as `tracking.weighing` reads it."""
    with file.open("w", encoding="utf-8", newline="") as stream:
        rows = csv.writer(stream, lineterminator="\n")
        rows.writerow(("sign", "weight"))
        rows.writerows((name, f"{value:.4f}") for name, value in weights.items())


if __name__ == "__main__":
    main(Path(sys.argv[1]))
