"""How a small round thing went away: struck by a club, or otherwise.

Owns what is measured about one place of one view, round the time of a sound: whether it went at
once, whether nothing moved about it before and after, and whether something quick passed just then,
as a club does. `tracking.weighing` says what that is worth.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from capturestation.records import BoolArray, FloatArray, FrameArray, IntArray
from capturestation.records.capture import Look
from capturestation.timing.ball import BallBracket, ball_leaving
from capturestation.tracking.ball import BallSpot, cut_patches

_EARLY_NS, _LATE_NS = 20_000_000, 110_000_000
# Sound takes 3 ms a metre, from some 4 m at most; a camera's picture comes 0-60 ms later than what
# it shows, never sooner, and a frame more.
_AROUND_R = 7.0
_BEFORE_CLUB_NS, _AFTER_CLUB_NS = 40_000_000, 60_000_000
_STILL_STEP, _SIGMAS = 14.0, 5.0
_REACH_R, _HIDDEN_R = 14.0, 2.5
_BELOW_R = 8.0
# Within a foot of the ball a club head is seen in one picture or two, at any rate of pictures.
_LEAST_REACH_PX = 20
_JUST_NS = 18_000_000
_CALM_NS = (50_000_000, 60_000_000)
_CLUB_STEP, _CLUB_SIGMAS = 12.0, 4.0
_DARK = 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """What was measured.

    Args:
        spot: Where.
        bracket: When.
        still: Largest share of the ground about it that differs, before the club comes.
        bare: Middle share of it after.
        club: Of something quick about it just then, in balls' areas.
        otherwise: The same at other times.
    """

    spot: BallSpot
    bracket: BallBracket
    still: float
    bare: float
    club: float
    otherwise: float


def gone_in_time(look: Look, spot: BallSpot, at_ns: int, noise: float) -> Gone | None:
    """Measure how the thing at a place went.

    Args:
        look: The pictures.
        spot: The place.
        at_ns: The sound.
        noise: Of the pictures, grey levels.

    Returns:
        None if it did not go, not then, or too near the end of the pictures to see how.
    """
    bracket = ball_leaving(cut_patches(look.greys, spot), look.host_ns)
    if bracket is None:
        return None
    early = bracket.first_without_ns < at_ns - _EARLY_NS
    if early or bracket.last_with_ns > at_ns + _LATE_NS:
        return None
    calm = _calm(look, spot, bracket)
    if calm is None:
        return None
    club, otherwise = _club(look, spot, bracket, noise)
    return Gone(
        spot=spot, bracket=bracket, still=calm[0], bare=calm[1],
        club=club, otherwise=otherwise,
    )  # fmt: skip


def _calm(look: Look, spot: BallSpot, bracket: BallBracket) -> tuple[float, float] | None:
    """How much of the ground about the ball differs until a club comes, and after it is gone."""
    half = max(round(_AROUND_R * spot.radius_px), 6)
    x, y = round(spot.x_px), round(spot.y_px)
    around = look.greys[:, max(y - half, 0) : y + half + 1, max(x - half, 0) : x + half + 1]
    before = around[look.host_ns <= bracket.last_with_ns - _BEFORE_CLUB_NS]
    after = around[look.host_ns >= bracket.first_without_ns + _AFTER_CLUB_NS]
    if min(len(before), len(after)) < 2:
        return None
    return float(_moved_shares(before).max()), float(np.median(_moved_shares(after)))


def _moved_shares(patches: FrameArray) -> FloatArray:
    """Of each picture, the share that differs from the middle one, the lamps' change taken out."""
    level = patches.astype(np.float64)
    usual = np.median(level, axis=0)
    step = np.abs(_evened(level, usual) - usual)
    limit = max(_STILL_STEP, _SIGMAS * float(np.median(step)) / 0.6745)
    shares: FloatArray = (step > limit).mean(axis=(1, 2))
    return shares


def _club(look: Look, spot: BallSpot, bracket: BallBracket, noise: float) -> tuple[float, float]:
    """How much about the ball is like neither before nor after: as it went, and otherwise."""
    box, hidden = _surroundings(look.greys, spot)
    since_ns = look.host_ns
    before = since_ns <= bracket.last_with_ns - _CALM_NS[0]
    after = since_ns >= bracket.first_without_ns + _CALM_NS[1]
    usual = [np.median(box[some], axis=0) for some in (before, after)]
    apart = [np.abs(_evened(box, one) - one) for one in usual]
    limit = max(_CLUB_STEP, _CLUB_SIGMAS * noise)
    strange = (np.minimum(*apart) > limit) & ~hidden
    areas = strange.sum(axis=(1, 2)) / spot.radius_px**2
    just = _within(since_ns, bracket, _JUST_NS)
    return float(areas[just].max()), float(np.quantile(areas[before | after], 0.75))


def _surroundings(greys: FrameArray, spot: BallSpot) -> tuple[FloatArray, BoolArray]:
    """A foot about the ball in every picture, and which pixels the ball itself may change."""
    reach = max(round(_REACH_R * spot.radius_px), _LEAST_REACH_PX)
    x, y = round(spot.x_px), round(spot.y_px)
    top, left = max(y - reach, 0), max(x - reach, 0)
    below = y + round(_BELOW_R * spot.radius_px) + 1
    box = greys[:, top:below, left : x + reach + 1].astype(np.float64)
    rows, columns = np.ogrid[top : top + box.shape[1], left : left + box.shape[2]]
    near = _HIDDEN_R * spot.radius_px + 1
    hidden: BoolArray = (rows - y) ** 2 + (columns - x) ** 2 <= near**2
    return box, hidden


def _within(since_ns: IntArray, bracket: BallBracket, slack_ns: int) -> BoolArray:
    inside: BoolArray = (since_ns >= bracket.last_with_ns - slack_ns) & (
        since_ns <= bracket.first_without_ns + slack_ns
    )
    return inside


def _evened(level: FloatArray, usual: FloatArray) -> FloatArray:
    """Each picture as bright as the usual one."""
    gain = np.median((level + _DARK) / (usual + _DARK), axis=(1, 2))
    evened: FloatArray = (level + _DARK) / gain[:, None, None] - _DARK
    return evened
