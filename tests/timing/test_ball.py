"""The ball leaving: what passes over it must not be taken for its going."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capturestation.timing.ball import BallBracket, ball_leaving
from tests.helpers.balls import Lie, ball_patches, frame_times

MS = 1_000_000
CONTACT_NS = 1_503 * MS


@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 120.0, 240.0])
@pytest.mark.parametrize(
    "lie",
    [
        Lie(),
        Lie(club=None),
        Lie(club=190.0),
        Lie(flicker=0.12),
        Lie(shade=0.3),
        Lie(waggle=True),
        Lie(noise=7.0),
        Lie(ball=150.0),
        Lie(mat=60.0, ball=235.0, club=62.0, waggle=True, flicker=0.08, noise=4.0),
        Lie(mat=180.0, ball=60.0, club=230.0),
    ],
    ids=lambda lie: repr(lie)[4:-1],
)
def test_contact_lies_in_the_bracket_of_neighbouring_frames(lie: Lie, rate_hz: float) -> None:
    times_ns = frame_times(rate_hz, 2.2, phase_ns=700_000)
    patches = ball_patches(1, times_ns, CONTACT_NS, lie)

    bracket = ball_leaving(patches, times_ns)

    assert bracket is not None
    assert bracket.last_with_ns < CONTACT_NS <= bracket.first_without_ns
    assert bracket.first_without_ns - bracket.last_with_ns <= 2.5e9 / rate_hz
    assert bracket.confidence > 0.5


def test_a_club_that_hides_the_ball_at_contact_widens_the_bracket() -> None:
    times_ns = frame_times(120.0, 2.2)
    patches = ball_patches(2, times_ns, CONTACT_NS, Lie(covers=True))
    plain = ball_leaving(ball_patches(2, times_ns, CONTACT_NS, Lie()), times_ns)

    hidden = ball_leaving(patches, times_ns)

    assert hidden is not None
    assert plain is not None
    assert hidden.last_with_ns < CONTACT_NS <= hidden.first_without_ns
    assert hidden.first_without_ns - hidden.last_with_ns >= 30 * MS
    assert hidden.confidence < plain.confidence


def test_more_frames_that_a_club_hides_in_the_same_time_are_no_less_sure() -> None:
    confidence = []
    for rate_hz in (120.0, 240.0):
        times_ns = frame_times(rate_hz, 2.2)
        hidden = ball_leaving(ball_patches(2, times_ns, CONTACT_NS, Lie(covers=True)), times_ns)
        assert hidden is not None
        confidence.append(hidden.confidence)

    assert confidence[1] > 0.9 * confidence[0]


def test_a_ball_that_stays_is_no_ball_leaving() -> None:
    times_ns = frame_times(60.0, 2.0)

    assert ball_leaving(ball_patches(3, times_ns, 10**12, Lie(waggle=True)), times_ns) is None


def test_bare_ground_is_no_ball_leaving() -> None:
    times_ns = frame_times(60.0, 2.0)

    assert ball_leaving(ball_patches(4, times_ns, -(10**9), Lie(flicker=0.1)), times_ns) is None


def test_a_shadow_that_falls_for_good_is_no_ball_leaving() -> None:
    times_ns = frame_times(60.0, 2.0)
    patches = ball_patches(5, times_ns, -(10**9), Lie(club=None))
    patches[60:] = (patches[60:] * 0.6).astype(np.uint8)

    assert ball_leaving(patches, times_ns) is None


@pytest.mark.parametrize("n", [0, 1, 5])
def test_too_few_frames_say_nothing(n: int) -> None:
    times_ns = frame_times(60.0, 2.0)[:n]

    assert ball_leaving(ball_patches(6, times_ns, 0, Lie()), times_ns) is None


def test_patches_and_times_must_fit() -> None:
    with pytest.raises(ValueError, match=r"\(6, 24, 24\) and \(5,\)"):
        ball_leaving(np.zeros((6, 24, 24), dtype=np.uint8), np.arange(5))


def test_a_bracket_must_run_forward() -> None:
    with pytest.raises(ValueError, match="gone by 3"):
        BallBracket(last_with_ns=3, first_without_ns=3, confidence=1.0)


@settings(max_examples=25, deadline=None)
@given(contact_ms=st.integers(400, 1_700), seed=st.integers(0, 1_000))
def test_contact_lies_in_the_bracket_wherever_it_falls(contact_ms: int, seed: int) -> None:
    times_ns = frame_times(60.0, 2.1)
    patches = ball_patches(seed, times_ns, contact_ms * MS, Lie(flicker=0.05, noise=3.0))

    bracket = ball_leaving(patches, times_ns)

    assert bracket is not None
    assert bracket.last_with_ns < contact_ms * MS <= bracket.first_without_ns
