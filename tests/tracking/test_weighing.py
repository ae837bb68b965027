"""What a view's signs are worth together, and that weights are found from scenes that are known."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import FloatArray
from capturestation.tracking.weighing import SIGNS, START, evidence, log_odds, weights_of
from tests.bench import _leaving as learning
from tests.helpers.mat_scenes import Kind


def signs(**others: float) -> FloatArray:
    """Of a white ball that a club took at once, or as said."""
    usual = {
        "always": 1.0, "like": 0.9, "at_once": 1.0, "still": np.log(0.002), "bare": np.log(0.002),
        "club_ratio": 4.0, "untimely": 0.0, "long": 0.5, "club": 3.0,
        "lay": 0.0, "lies": 4.0, "clear": 4.0,
    }  # fmt: skip
    return np.array([(usual | others)[name] for name in SIGNS])


def shown(*found: FloatArray) -> float:
    return evidence(weights_of(list(found)))


def test_a_view_without_anything_that_went_away_takes_nothing_from_another() -> None:
    alone = log_odds([shown(signs())])

    assert shown() == 0.0
    assert log_odds([shown(signs()), shown()]) == alone > 0


def test_two_views_that_each_show_a_little_are_enough_together() -> None:
    little = shown(signs(like=0.5, at_once=0.7, club=1.5, club_ratio=1.5, clear=3.0))

    assert log_odds([little]) < 0 < log_odds([little, little])


@pytest.mark.parametrize(
    ("name", "worse"),
    [("like", 0.3), ("at_once", 0.3), ("still", -1.0), ("bare", -1.0), ("club", 0.0),
     ("club_ratio", 0.0), ("untimely", 2.0), ("long", 4.0), ("lay", 4.0), ("lies", 0.0),
     ("clear", 1.0)],
)  # fmt: skip
def test_every_sign_counts_the_way_it_should(name: str, worse: float) -> None:
    assert weights_of([signs(**{name: worse})])[0] < weights_of([signs()])[0]


def test_weights_are_found_from_what_is_known() -> None:
    rng = np.random.default_rng(5)
    events = []
    for number in range(300):
        struck = number % 3 == 0
        true = [signs(like=float(rng.uniform(0.6, 1.0)), club=float(rng.uniform(2, 4)))]
        false = [signs(like=float(rng.uniform(0.1, 0.5)), club=float(rng.uniform(-1, 1)))]
        events.append((struck, [true if struck else false, false]))

    weights = learning.weights_of(learning.gathered(events))

    by_sign = np.array([weights[name] for name in SIGNS])
    odds = [
        weights[START] + sum(float(np.log1p(np.exp(one[0] @ by_sign))) for one in views)
        for _, views in events
    ]
    assert [value > 0 for value in odds] == [struck for struck, _ in events]
    assert weights["like"] > 0
    assert weights["club"] > 0


def test_weights_are_found_on_scenes_of_every_kind_in_other_bays_than_the_benchmark_s() -> None:
    scenes = learning.learnt_from()

    assert {kind for kind, _, _ in scenes} == set(Kind)
    assert len({(kind, seed) for kind, seed, _ in scenes}) == len(scenes)
    assert not {station.seed for _, _, station in scenes} & {21, 22}
    moved = [seed % 2 for kind, seed, _ in scenes if kind is Kind.MOVED]
    assert 0.3 < sum(moved) / len(moved) < 0.7
