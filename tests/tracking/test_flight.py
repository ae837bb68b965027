"""What may be the ball in flight, in drawn pictures; and contact by it in the rendered session."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.media.frames import FrameReader
from capturestation.records import FrameArray, IntArray, View
from capturestation.timing.ball import BallBracket, ball_leaving
from capturestation.timing.launch import CONTACT_NS, launch_of
from capturestation.tracking.ball import BallSpot, cut_patches, find_ball
from capturestation.tracking.flight import flying_spots
from sample_sessions.session import load_session

FRAME_NS = 8_333_333
SPOT = BallSpot(x_px=60.0, y_px=100.0, radius_px=4.0, confidence=1.0)
RIGHT_PX, UP_PX = 22.0, 9.0
BRACKET = BallBracket(last_with_ns=-5_000_000, first_without_ns=3_333_333, confidence=1.0)


def filmed(*, ball_grey: int = 240, ground_grey: int = 90) -> tuple[FrameArray, IntArray]:
    """A ball that rests, then flies to the right; a trunk that moves slowly."""
    times_ns = np.arange(-9, 12, dtype=np.int64) * FRAME_NS + 3_333_333
    greys = []
    for number, time_ns in enumerate(times_ns):
        picture = np.full((120, 240), ground_grey, dtype=np.uint8)
        cv2.rectangle(picture, (20 + number, 20), (40 + number, 70), 170, -1)
        frames = max((time_ns + 2_000_000) / FRAME_NS, 0.0) if time_ns > 0 else 0.0
        middle = (round(60 + RIGHT_PX * frames), round(100 - UP_PX * frames))
        cv2.circle(picture, middle, 4, ball_grey, -1, cv2.LINE_AA)
        greys.append(picture)
    return np.stack(greys), times_ns


@pytest.mark.parametrize(("ball_grey", "ground_grey"), [(240, 90), (30, 160)])
def test_the_ball_is_among_what_is_in_one_picture_only(ball_grey: int, ground_grey: int) -> None:
    greys, times_ns = filmed(ball_grey=ball_grey, ground_grey=ground_grey)

    seen = flying_spots(greys, times_ns, SPOT, BRACKET)

    for time_ns in times_ns[(times_ns > 0) & (times_ns < 45_000_000)]:
        frames = (time_ns + 2_000_000) / FRAME_NS
        expected = (60 + RIGHT_PX * frames, 100 - UP_PX * frames)
        own = [s for s in seen if s.time_ns == time_ns]
        near = min(np.hypot(s.x_px - expected[0], s.y_px - expected[1]) for s in own)
        assert near < 1.0


def test_what_stands_or_comes_to_stay_is_not_among_it() -> None:
    greys, times_ns = filmed()
    greys[:] = greys[0]
    # A club laid down, a lamp switched on.
    greys[12:, 10:20, 200:210] = 220

    assert flying_spots(greys, times_ns, SPOT, BRACKET) == ()


def test_pictures_and_stamps_must_fit() -> None:
    with pytest.raises(ValueError, match=r"\(3,\)"):
        flying_spots(np.zeros((2, 4, 4), dtype=np.uint8), np.arange(3), SPOT, BRACKET)


@pytest.mark.parametrize("view", [View.FACE_ON, View.DOWN_THE_LINE])
def test_in_a_rendered_swing_the_flight_says_contact_within_its_error(view: View) -> None:
    swing = load_session().swings[-1]
    truth = swing.truth(view)
    contact_ns = truth.contact_picture_media_ns
    assert contact_ns is not None
    with FrameReader(swing.clip(view)) as reader:
        near = np.flatnonzero(np.abs(reader.index.times_ns - contact_ns) <= 300_000_000)
        greys = np.stack([reader.frame_grey(int(n)) for n in near])
        times_ns: IntArray = reader.index.times_ns[near]
    spot = find_ball(greys, times_ns, contact_ns)
    assert spot is not None
    bracket = ball_leaving(cut_patches(greys, spot), times_ns)
    assert bracket is not None

    seen = flying_spots(greys, times_ns, spot, bracket)
    launch = launch_of(seen, (spot.x_px, spot.y_px), spot.radius_px, bracket, FRAME_NS)

    assert launch is not None
    # A rendered ball has its speed at once, a real one gathers it for half a millisecond.
    assert abs(launch.contact_ns + CONTACT_NS // 2 - contact_ns) <= 2 * launch.u_ns
    assert launch.u_ns < 600_000
