"""What the body network makes of invented golfers at their moments, as figures with their truth.

Only the picture of each moment is rendered, at half size, so that many golfers can be measured: a
whole swing takes thirty times as long. The moments are the true ones, and nothing is smoothed in
time, so errors are rather larger than in a whole swing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import NS_PER_S, Box, Hand, IntArray, Mark, Moment, View, hand_mark
from capturestation.swing.body import cleaned
from capturestation.swing.figure import Figure, Pictured, upright
from capturestation.swing.hard_to_see import how_surely
from capturestation.swing.tracks import BodyTrack
from capturestation.tracking.body import BodyTracker
from capturestation.tracking.body_network import BodyNetwork
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.clothes import Clothes, Loose
from sample_sessions.golfer import Golfer
from sample_sessions.moments import find_moments
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer
from tests.helpers.invented_tracks import club_projected
from tests.helpers.known_bays import known_bay, seen_in_space
from tests.helpers.true_figure import true_figure

SIZE_SHARE = 0.5
SHIFT_M, AIM_M, ROLL_DEG = 0.10, 0.05, 1.0
_HEAD_OFF = 0.004
_SHAFT_OFF = 0.004
# The club is not what is tried here: its ends are the true ones, off by so much of the height.


@dataclass(frozen=True, slots=True, kw_only=True)
class Posed:
    """One golfer near his moments.

    Args:
        figure: As it is seen.
        truth: As it is, in the same axes.
        marks: The true moments.
        metres: The golfer's height from nose to ankles, for lengths.
        space: As it is seen in space; None where rays don't meet.
        surely: How sure the network is of his joints face-on.
    """

    figure: Figure
    truth: Figure
    marks: tuple[Mark, ...]
    metres: float
    space: Figure | None = None
    surely: float = float("nan")


def cameras_of(hand: Hand, seed: int) -> tuple[Camera, ...]:
    """Both cameras within what a coach's set-up is usually off by."""
    random = np.random.default_rng((773, seed))
    return tuple(
        camera.placed(
            Placement(
                shift_m=tuple(random.uniform(-SHIFT_M, SHIFT_M, 3)),
                aim_shift_m=tuple(random.uniform(-AIM_M, AIM_M, 3)),
                roll_deg=float(random.uniform(-ROLL_DEG, ROLL_DEG)),
                size_share=SIZE_SHARE,
            )
        )
        for camera in cameras_for(hand)
    )


def posed(
    network: BodyNetwork,
    swing: SwingParameters,
    *,
    cameras: Sequence[Camera],
    shirt: int,
    bay_seed: int | None = None,
    loose: Loose | None = None,
) -> Posed:
    """Render a golfer near his moments, and look at him.

    Args:
        network: Looks.
        swing: What he does.
        cameras: Both.
        shirt: Decides colours and the club's errors.
        bay_seed: Decides how far off the bay is known to be; exactly known unless given.
        loose: Wide clothes over his own.
    """
    golfer = Golfer(swing)
    found = find_moments(golfer)
    marks = tuple(hand_mark(m, round(s * NS_PER_S)) for m, s in found.items() if s is not None)
    times_ns = np.array([mark.at_ns for mark in marks], dtype=np.int64)
    random = np.random.default_rng((774, shirt))
    red, green, blue = (int(level) for level in random.integers(30, 220, 3))
    views: dict[View, Pictured] = {}
    surely: dict[View, float] = {}
    for camera in cameras:
        renderer = Renderer(golfer, camera, Clothes(shirt=(red, green, blue), loose=loose))
        box = Box(left=0.15, top=0.05, right=0.85, bottom=0.95)
        tracker = BodyTracker(network, hand=swing.hand, box=box)
        for number, time_ns in enumerate(times_ns):
            tracker.see(renderer.frame(time_ns / NS_PER_S, number=number), int(time_ns))
        views[camera.view] = _pictured(golfer, camera, tracker, times_ns, shirt)
        surely[camera.view] = how_surely(tracker.track(), times_ns)
    set_ns = next(mark.at_ns or 0 for mark in marks if mark.moment is Moment.SET)
    seen = upright(views, hand=swing.hand, set_ns=set_ns, times_ns=times_ns)
    true, metres = true_figure(golfer, times_ns, set_ns)
    space = seen_in_space(
        views, cameras, known_bay(cameras, seed=bay_seed), hand=swing.hand, set_ns=set_ns,
        times_ns=times_ns,
    ).figure  # fmt: skip
    return Posed(
        figure=seen, truth=true, marks=marks, metres=metres, space=space,
        surely=surely.get(View.FACE_ON, float("nan")),
    )  # fmt: skip


def _pictured(
    golfer: Golfer, camera: Camera, tracker: BodyTracker, times_ns: IntArray, seed: int
) -> Pictured:
    body = each_by_itself(tracker.track(), camera.view, golfer.swing.hand)
    return pictured_by(body, golfer, camera, times_ns, seed)


def each_by_itself(track: BodyTrack, view: View, hand: Hand) -> BodyTrack:
    """Each picture cleaned up by itself: from one moment to the next nothing is smoothed."""
    parts = [
        cleaned(
            BodyTrack(
                times_ns=track.times_ns[n : n + 1],
                joints_px=track.joints_px[n : n + 1],
                seen=track.seen[n : n + 1],
            ),
            view=view,
            hand=hand,
        )
        for n in range(len(track.times_ns))
    ]
    return BodyTrack(
        times_ns=track.times_ns,
        joints_px=np.concatenate([part.joints_px for part in parts]),
        seen=np.concatenate([part.seen for part in parts]),
    )


def pictured_by(
    body: BodyTrack, golfer: Golfer, camera: Camera, times_ns: IntArray, seed: int
) -> Pictured:
    """A view with the true club and ball, a little off."""
    club = club_projected(camera.view, golfer=golfer, camera=camera, times_ns=times_ns)
    # Another look is another swing: its club is not off by the same.
    random = np.random.default_rng((775, seed, round(1e6 * abs(camera.at_m[0]))))
    grip, head = (
        at + random.normal(0.0, off * camera.lens.height_px, at.shape)
        for at, off in ((club.grip_px, _SHAFT_OFF), (club.head_px, _HEAD_OFF))
    )
    ball = camera.project(golfer.pose(np.array([-1.0])).ball)[0]
    return Pictured(body=body, club=replace(club, grip_px=grip, head_px=head), ball_px=ball)
