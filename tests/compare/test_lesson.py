"""Which swing of a lesson is typical, which nearest to another: all measures over their noise."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from capturestation.compare.lesson import away_from, most_typical, noise_of
from capturestation.records import Measured, SwingId

A, B, C, D = (SwingId(name) for name in "abcd")


def measures(*values: float, u: float = 1.0, unit: str = "deg") -> Mapping[str, Measured]:
    return {
        f"m{number}": Measured(value=value, unit=unit, u_random=u)
        for number, value in enumerate(values)
    }


def test_noise_is_the_larger_of_measuring_and_spread() -> None:
    noise = noise_of({A: measures(0.0, 0.0), B: measures(0.1, 10.0)})

    assert noise["m0"] == pytest.approx(1.0)
    assert noise["m1"] == pytest.approx(10 / 2**0.5)


def test_the_nearest_comes_first_in_times_of_the_noise() -> None:
    target = measures(0.0, 0.0, 0.0)
    swings = {A: measures(3.0, 3.0, 3.0), B: measures(1.0, -1.0, 1.0)}

    away = away_from(target, swings, dict.fromkeys(target, 1.0))

    assert [one.swing for one in away] == [B, A]
    assert [one.times_noise for one in away] == pytest.approx([1.0, 3.0])
    assert away[0].measures == 3


def test_a_measure_known_badly_counts_less() -> None:
    target = measures(0.0, 0.0, 0.0)
    noise = {"m0": 1.0, "m1": 1.0, "m2": 100.0}

    away = away_from(target, {A: measures(2.0, 0.0, 0.0), B: measures(0.0, 0.0, 50.0)}, noise)

    assert [one.swing for one in away] == [B, A]


def test_swings_that_share_too_few_measures_or_other_units_are_not_ranked() -> None:
    target = measures(0.0, 0.0, 0.0)
    noise = dict.fromkeys(target, 1.0)
    swings = {A: measures(0.0, 0.0), B: measures(0.0, 0.0, 0.0, unit="cm")}

    assert away_from(target, swings, noise) == ()


def test_the_typical_swing_is_near_the_middle_and_a_mishit_does_not_draw_it() -> None:
    swings = {
        A: measures(0.0, 0.0, 0.0),
        B: measures(1.0, 1.1, 0.9),
        C: measures(2.0, 2.0, 2.0),
        D: measures(90.0, 90.0, 90.0),
    }

    found = most_typical(swings)

    assert found is not None
    assert found.swing in (B, C)
    assert most_typical({A: swings[A], B: swings[B]}) is None
