"""Who of two people swings, in rendered pictures of a golfer and somebody who walks by."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from capturestation.records import Box, FrameArray, View
from capturestation.swing.tracks import BodyTrack, Joint, no_track
from capturestation.tracking.swinger import restlessness, who_swings
from sample_sessions.cameras import Placement
from sample_sessions.golfer import Golfer
from sample_sessions.people import somebody
from sample_sessions.render import Renderer
from tests.helpers.body_pictures import network
from tests.helpers.invented_tracks import camera_of, projected

GOLFER = Box(left=0.5, top=0.2, right=0.73, bottom=1.0)
PASSER = Box(left=0.73, top=0.15, right=1.0, bottom=1.0)


@cache
def pictures() -> tuple[FrameArray, ...]:
    """From down the line, while somebody passes behind the golfer, nearer to the camera."""
    swing = somebody(3)
    walks = replace(swing.around, passes_s=-0.1, passes_m_s=-1.3, passes_y_m=2.3)
    golfer = Golfer(replace(swing, around=walks))
    camera = camera_of(View.DOWN_THE_LINE, swing.hand).placed(Placement(size_share=0.5))
    renderer = Renderer(golfer, camera)
    return tuple(renderer.frame(at_s) for at_s in (-0.6, -0.4, -0.2, -0.05))


@pytest.mark.parametrize("boxes", [(GOLFER, PASSER), (PASSER, GOLFER)])
def test_who_holds_a_club_swings_whoever_moves_more(boxes: tuple[Box, Box]) -> None:
    hand = somebody(3).hand

    assert who_swings(network(), pictures(), boxes, hand) == GOLFER


def test_where_two_are_as_likely_neither_is_taken() -> None:
    hand = somebody(3).hand

    assert who_swings(network(), pictures()[:2], (GOLFER, GOLFER), hand) is None


def test_where_nobody_is_the_likeliest_place_counts() -> None:
    empty = [np.full((360, 640, 3), 120, np.uint8)] * 2

    assert who_swings(network(), empty, (PASSER, GOLFER), somebody(3).hand) == PASSER


def test_hands_together_and_feet_that_stay_are_calm() -> None:
    track = projected(View.DOWN_THE_LINE)

    assert restlessness(track) < 0.2
    assert restlessness(apart(track)) > 2.0 * restlessness(track)
    assert restlessness(no_track()) == np.inf


def apart(track: BodyTrack) -> BodyTrack:
    """The same with one hand at the side."""
    joints = track.joints_px.copy()
    joints[:, Joint.LEAD_WRIST.place] = joints[:, Joint.LEAD_HIP.place]
    return replace(track, joints_px=joints)
