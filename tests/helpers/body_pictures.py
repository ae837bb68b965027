"""Pictures of an invented golfer with where his joints are, and the model that looks at them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from capturestation.records import FloatArray, FrameArray, Hand, View
from capturestation.station.models import body_model
from capturestation.swing.tracks import JOINTS, Joint
from capturestation.tracking.body_network import BodyNetwork
from sample_sessions.cameras import cameras_for
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer

UNKNOWN = (Joint.NOSE, Joint.LEAD_EAR, Joint.TRAIL_EAR)
"""The invented head has no ears."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictured:
    """One picture and the truth of it."""

    frame_rgb: FrameArray
    joints_px: FloatArray
    tall_px: float


def network(engine: str = "") -> BodyNetwork:
    """The body network; a test without it is skipped, which CI counts as a failure."""
    model = body_model()
    if not model.is_there:
        pytest.skip(model.why_not)
    return BodyNetwork(model.path, engine=engine)


@cache
def pictured(time_s: float, view: View = View.FACE_ON, *, hand: Hand = Hand.RIGHT) -> Pictured:
    """A golfer at a time of his swing, rendered once for all that look at him."""
    golfer = Golfer(SwingParameters(hand=hand))
    camera = next(c for c in cameras_for(hand) if c.view is view)
    pose = golfer.pose(np.array([time_s]))
    joints = np.full((len(JOINTS), 2), np.nan)
    for joint in JOINTS:
        if joint not in UNKNOWN:
            joints[joint.place] = camera.project(getattr(pose, joint.replace(" ", "_")))[0]
    top = camera.project(pose.head)[0, 1]
    return Pictured(
        frame_rgb=Renderer(golfer, camera).frame(time_s),
        joints_px=joints,
        tall_px=float(np.nanmax(joints[:, 1]) - top),
    )
