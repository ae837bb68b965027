from __future__ import annotations

import math

import numpy as np
import pytest

from capturestation.compare.warp import absolute, squared, warp_path


def test_the_textbook_example_costs_nine() -> None:
    """M. Müller, Fundamentals of Music Processing, 3.2: absolute cost, unit steps; exact."""
    warp = warp_path(np.array([1.0, 3, 9, 2, 1]), np.array([2.0, 0, 0, 8, 7, 2]), absolute)

    assert warp.total == 9


def test_the_same_under_a_root_of_squares_costs_root_seventeen() -> None:
    """Computed with dtaidistance and tslearn: squared cost under a root; 1e-12."""
    warp = warp_path(np.array([1.0, 3, 9, 2, 1]), np.array([2.0, 0, 0, 8, 7, 2]), squared)

    assert math.sqrt(warp.total) == pytest.approx(math.sqrt(17), abs=1e-12)


def test_the_example_of_a_warping_librarys_manual_costs_root_two() -> None:
    """Documentation of dtaidistance: squared cost under a root; 1e-12."""
    first = np.array([0.0, 0, 1, 2, 1, 0, 1, 0, 0])
    second = np.array([0.0, 1, 2, 0, 0, 0, 0, 0, 0])

    assert math.sqrt(warp_path(first, second, squared).total) == pytest.approx(
        math.sqrt(2), abs=1e-12
    )
