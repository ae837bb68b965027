"""Whether our ball left, from half a second of drawn pictures of one or two views."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest

from capturestation.records import FrameArray, View
from capturestation.records.capture import Candidate, Confirmed, Look, Verdict
from capturestation.tracking.confirm import BallConfirmer

AT_NS = 50_000_000_000
MS = 1_000_000
SIZE = (240, 320)
BALL = (160, 200)
RADIUS = 3
STEP_MS = 16.7
Draw = Callable[[FrameArray, float], None]
"""Draws what a picture shows so many milliseconds after the sound."""

SOUND = Candidate(at_host_ns=AT_NS, u_ns=50_000, snr_db=25.0, sharpness=0.7, peak=0.4)


def ball_at(frame: FrameArray, x: float, y: float, grey: int = 230) -> None:
    cv2.circle(frame, (round(8 * x), round(8 * y)), 8 * RADIUS, grey, -1, cv2.LINE_AA, shift=3)


def club(frame: FrameArray, at_ms: float, px_ms: float = 3.0) -> None:
    """A dark head and its shaft, lowest 20 ms after the sound."""
    x = BALL[0] + px_ms * (at_ms - 20)
    low = BALL[1] - 0.004 * (at_ms - 20) ** 2
    cv2.line(frame, (BALL[0], 110), (round(x), round(low)), 25, 2, cv2.LINE_AA)
    cv2.circle(frame, (round(x), round(low)), 5, 15, -1, cv2.LINE_AA)


def struck(frame: FrameArray, at_ms: float) -> None:
    """Lies there until 20 ms after the sound, as a club comes by, and flies off to the right."""
    if at_ms < 20:
        ball_at(frame, *BALL)
    else:
        ball_at(frame, BALL[0] + 8 * (at_ms - 20), BALL[1] - 3 * (at_ms - 20))
    club(frame, at_ms)


def lies(frame: FrameArray, at_ms: float) -> None:
    """Nothing happens."""
    ball_at(frame, *BALL)


def rehearsed(frame: FrameArray, at_ms: float) -> None:
    """A club comes by, behind the ball."""
    club(frame, at_ms)
    ball_at(frame, *BALL)


def rolled(frame: FrameArray, at_ms: float) -> None:
    """Rolls away by itself from the sound on, slowly."""
    ball_at(frame, BALL[0] + 0.12 * max(at_ms, 0.0), BALL[1])


def rolled_soon(speed_px_ms: float) -> Draw:
    """Rolls away by itself soon after the sound, its shadow below it; 7 px are a ball's 43 mm."""

    def draw(frame: FrameArray, at_ms: float) -> None:
        x = BALL[0] + speed_px_ms * max(at_ms - 20, 0.0)
        low = (round(x), BALL[1] + RADIUS)
        cv2.ellipse(frame, low, (RADIUS + 1, 2), 0, 0, 360, 30, -1, cv2.LINE_AA)
        ball_at(frame, x, BALL[1])

    return draw


def vanished(frame: FrameArray, at_ms: float) -> None:
    """Is gone at once, and nothing was near it."""
    if at_ms < 20:
        ball_at(frame, *BALL)


def taken(frame: FrameArray, at_ms: float) -> None:
    """A hand comes from above, rests over it and takes it away."""
    down = 140 + 55 * min(max(at_ms + 200, 0) / 180, 1.0) - 0.4 * max(at_ms - 20, 0)
    if at_ms < 20:
        ball_at(frame, *BALL)
    cv2.ellipse(frame, (BALL[0] - 4, round(down)), (14, 22), 0, 0, 360, 150, -1, cv2.LINE_AA)


def empty(frame: FrameArray, at_ms: float) -> None:
    """Bare ground."""


def filmed(draw: Draw, *, view: View = View.FACE_ON, seed: int = 0, light: float = 1.0) -> Look:
    """Half a second of one view; the lamps change by that at the sound."""
    rng = np.random.default_rng(seed)
    blocks = rng.integers(70, 100, (9, 16)).astype(np.uint8)
    ground = cv2.resize(blocks, SIZE[::-1]).astype(np.uint8)
    at_ms = np.arange(-245.0, 250.0, STEP_MS)
    greys = np.zeros((len(at_ms), *SIZE), np.uint8)
    for n, at in enumerate(at_ms.tolist()):
        frame = ground.copy()
        draw(frame, at)
        noisy = (light if at > 0 else 1.0) * frame + rng.normal(0, 1.5, SIZE)
        greys[n] = np.clip(noisy, 0, 255)
    host_ns = AT_NS + np.rint(at_ms * MS).astype(np.int64)
    return Look(view=view, host_ns=host_ns, greys=greys)


def judged(*looks: Look) -> Confirmed:
    return BallConfirmer().confirm(SOUND, looks)


@pytest.mark.parametrize("seed", range(4))
def test_a_struck_ball_left(seed: int) -> None:
    said = judged(filmed(struck, seed=seed))

    assert said.verdict is Verdict.LEFT
    assert said.said == "The ball leaves in the face-on picture."


@pytest.mark.parametrize("draw", [lies, rehearsed, rolled, vanished, taken])
@pytest.mark.parametrize("seed", range(3))
def test_what_is_no_strike_is_not_taken_for_one(draw: Draw, seed: int) -> None:
    both = (filmed(draw, seed=seed), filmed(draw, view=View.DOWN_THE_LINE, seed=seed + 50))

    assert judged(*both).verdict is Verdict.STAYED


@pytest.mark.parametrize("seed", range(2))
@pytest.mark.parametrize("speed_px_ms", [0.06, 0.12, 0.18])
def test_a_spare_ball_that_begins_to_roll_is_no_club_to_one_view(
    speed_px_ms: float, seed: int
) -> None:
    assert judged(filmed(rolled_soon(speed_px_ms), seed=seed)).verdict is not Verdict.LEFT


def test_a_ball_that_was_struck_long_before_the_sound_is_not_meant() -> None:
    early = filmed(lambda frame, at_ms: struck(frame, at_ms + 120))

    assert judged(early).verdict is not Verdict.LEFT


def test_as_the_lamps_change_a_strike_is_seen_all_the_same() -> None:
    both = judged(*(
        filmed(struck, view=view, seed=n, light=1.25)
        for n, view in enumerate((View.FACE_ON, View.DOWN_THE_LINE))
    ))  # fmt: skip

    assert both.verdict is Verdict.LEFT
    assert both.said == "The ball leaves in the face-on and down-the-line picture."


@pytest.mark.parametrize("draw", [lies, empty])
@pytest.mark.parametrize("light", [0.6, 1.25, 1.5])
def test_lamps_that_change_at_the_sound_strike_nothing(draw: Draw, light: float) -> None:
    both = judged(*(
        filmed(draw, view=view, seed=n, light=light)
        for n, view in enumerate((View.FACE_ON, View.DOWN_THE_LINE))
    ))  # fmt: skip

    assert both.verdict is not Verdict.LEFT


def faint(frame: FrameArray, at_ms: float) -> None:
    """A dull ball, half as clear as a white one."""
    if at_ms < 20:
        ball_at(frame, *BALL, grey=115)
    club(frame, at_ms)


def test_a_faint_ball_will_do_where_both_views_show_it() -> None:
    views = (filmed(faint, view=view, seed=1 + n) for n, view in enumerate(View))

    assert judged(*views).verdict is Verdict.LEFT


def test_what_one_view_alone_shows_but_faintly_is_unclear() -> None:
    said = judged(filmed(faint, seed=1))

    assert said.verdict is Verdict.UNCLEAR
    assert "only one view sees it" in said.said


def test_without_a_picture_it_can_t_tell() -> None:
    assert judged().verdict is Verdict.UNCLEAR


def test_bare_ground_is_unclear_until_a_ball_was_seen_leaving() -> None:
    eye = BallConfirmer()
    before = eye.confirm(SOUND, [filmed(empty)])
    eye.confirm(SOUND, [filmed(struck)])

    after = eye.confirm(SOUND, [filmed(empty)])

    assert (before.verdict, after.verdict) == (Verdict.UNCLEAR, Verdict.STAYED)
    assert after.said == "No ball leaves."
