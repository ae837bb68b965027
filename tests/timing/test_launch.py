"""Contact by the ball's first flight: invented places of a ball, a club beside it, exact truth."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from capturestation.timing.ball import BallBracket
from capturestation.timing.launch import CONTACT_NS, Launch, Sighting, launch_of

MS = 1_000_000
FRAME_NS = 8_333_333
REST_PX = (300.0, 400.0)
RADIUS_PX = 6.0
BALL_M = 0.02135


def flight(
    phase: float,
    *,
    speed_m_s: float = 50.0,
    launch_deg: float = 15.0,
    behind_m: float | None = None,
    frames: int = 4,
    noise_px: float = 0.3,
    seed: int = 1,
    frame_ns: int = FRAME_NS,
) -> tuple[list[Sighting], BallBracket]:
    """A ball struck at 0, seen from the side, or from `behind_m` behind it; and its bracket."""
    rng = np.random.default_rng(seed)
    first_ns = round(phase * frame_ns)
    sightings = []
    for n in range(frames):
        at_s = (first_ns + n * frame_ns) * 1e-9
        angle = np.radians(launch_deg)
        metres = speed_m_s * at_s * np.array([np.cos(angle), np.sin(angle)])
        if behind_m is None:
            aside, light = RADIUS_PX / BALL_M * metres, 1.0
        else:
            # From behind and 1 m above, the ball's way away from the camera moves it up too.
            near = behind_m / (behind_m + metres[0])
            aside = RADIUS_PX / BALL_M * np.array([-0.1 * (1 - near), metres[1] * near + 1 - near])
            light = near**2
        x, y = REST_PX[0] + aside[0], REST_PX[1] - aside[1]
        off = rng.normal(0, noise_px, 2)
        sightings.append(
            Sighting(time_ns=first_ns + n * frame_ns, x_px=x + off[0], y_px=y + off[1], light=light)
        )
    bracket = BallBracket(
        last_with_ns=first_ns - frame_ns, first_without_ns=first_ns, confidence=1.0
    )
    return sightings, bracket


def found(
    sightings: list[Sighting], bracket: BallBracket, frame_ns: int = FRAME_NS
) -> Launch | None:
    return launch_of(sightings, REST_PX, RADIUS_PX, bracket, frame_ns)


@pytest.mark.parametrize("phase", [0.15, 0.4, 0.7, 0.95])
@pytest.mark.parametrize("speed_m_s", [18.0, 45.0, 70.0])
@pytest.mark.parametrize("behind_m", [None, 3.7])
def test_contact_is_known_to_a_small_part_of_a_frame(
    phase: float, speed_m_s: float, behind_m: float | None
) -> None:
    sightings, bracket = flight(phase, speed_m_s=speed_m_s, behind_m=behind_m)

    launch = found(sightings, bracket)

    assert launch is not None
    # The flight seems to begin half a contact late, and this one has its speed at once.
    assert abs(launch.contact_ns + CONTACT_NS // 2) < max(0.12 * FRAME_NS, 2 * launch.u_ns)
    assert launch.u_ns < 0.15 * FRAME_NS


@settings(max_examples=30, deadline=None)
@given(phase=st.floats(0.15, 1.0), speed_m_s=st.floats(20, 80), seed=st.integers(0, 10_000))
def test_the_error_stays_within_three_of_its_own_u(
    phase: float, speed_m_s: float, seed: int
) -> None:
    sightings, bracket = flight(phase, speed_m_s=speed_m_s, seed=seed)

    launch = found(sightings, bracket)

    assert launch is not None
    assert abs(launch.contact_ns + CONTACT_NS // 2) <= 3 * launch.u_ns


def test_the_club_that_follows_the_ball_is_not_taken_for_it() -> None:
    sightings, bracket = flight(0.5)
    club, _ = flight(0.5, speed_m_s=33.0, launch_deg=1.0, seed=2)
    # The head is half as bright, larger, and its way is bent.
    heads = [
        Sighting(time_ns=c.time_ns, x_px=c.x_px - 9, y_px=c.y_px - 0.4 * n**2 * 9, light=0.4)
        for n, c in enumerate(club)
    ]

    alone, both = found(sightings, bracket), found([*heads, *sightings], bracket)

    assert alone is not None
    assert both == alone


@pytest.mark.parametrize("frames", [0, 1, 2])
def test_too_few_sightings_say_nothing(frames: int) -> None:
    assert found(*flight(0.5, frames=frames)) is None


def test_at_sixty_frames_a_second_two_sightings_are_enough() -> None:
    slow_ns = 16_666_667
    sightings, bracket = flight(0.5, frames=2, frame_ns=slow_ns)

    launch = found(sightings, bracket, slow_ns)

    assert launch is not None
    assert abs(launch.contact_ns + CONTACT_NS // 2) < 0.2 * slow_ns


def test_what_flies_out_of_another_place_is_no_ball() -> None:
    sightings, bracket = flight(0.5)
    elsewhere = [
        Sighting(time_ns=s.time_ns, x_px=s.x_px, y_px=s.y_px - 60, light=s.light) for s in sightings
    ]

    assert found(elsewhere, bracket) is None


def test_a_flight_that_began_outside_the_bracket_is_no_ball() -> None:
    sightings, bracket = flight(0.5)
    early = BallBracket(
        last_with_ns=bracket.last_with_ns - 3 * FRAME_NS,
        first_without_ns=bracket.first_without_ns - 3 * FRAME_NS,
        confidence=1.0,
    )

    assert found(sightings, early) is None
