"""The committed club network is the one that was learnt, and OpenCV runs it alike."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from capturestation.tracking.club_network import SIDE_PX, ClubNetwork, evened

REFERENCE = Path(__file__).with_name("club_reference.npz")


@pytest.fixture(scope="module")
def network() -> ClubNetwork:
    return ClubNetwork()


def test_opencv_makes_of_a_picture_what_the_learner_made_of_it(network: ClubNetwork) -> None:
    with np.load(REFERENCE) as held:
        pictures, maps = held["pictures"].astype(np.float32), held["maps"]

    ours = np.concatenate([network.raw(one[None]) for one in pictures])

    assert ours.shape == maps.shape
    assert float(np.abs(maps).max()) > 1.0
    assert float(np.abs(ours - maps).max()) < 1e-3


def test_pictures_are_evened_as_they_were_for_the_learner() -> None:
    grey = np.random.default_rng(2).integers(0, 255, (3, SIDE_PX, SIDE_PX), dtype=np.uint8)

    even = evened(grey)

    share = grey / 255.0
    expected = (share - share[1].mean()) / (share[1].std() + 0.05)
    assert np.allclose(even, expected, atol=1e-5)
