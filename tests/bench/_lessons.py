"""Rendered strikes of invented lessons, cut to what lies around the ball, with their truth."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np

from capturestation.records import NS_PER_S, FrameArray, IntArray, SwingKind, View
from sample_sessions.cameras import DOWN_THE_LINE, FACE_ON, Camera
from sample_sessions.golfer import Golfer
from sample_sessions.parameters import SwingParameters
from sample_sessions.render import Renderer

CROPS = {View.FACE_ON: (560, 330, 720, 360), View.DOWN_THE_LINE: (640, 400, 220, 300)}
"""Left, top, width, height in the cameras' 1280 x 720."""
_BEFORE_S = (-0.24, -0.20, -0.16, -0.12, -0.09)
_AFTER_S = (0.10, 0.14, 0.18, 0.22, 0.26)
# A few pictures stand for the many of which only the usual one is wanted.
_NEAR_S = (-0.020, 0.045)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filmed:
    """What one camera shows of one strike.

    Args:
        greys: (n, h, w) around the ball.
        times_ns: (n,) stamps; contact is at `contact_ns`.
        contact_ns: First contact on the same clock.
    """

    greys: FrameArray
    times_ns: IntArray
    contact_ns: int


class Bench:
    """A camera before an invented bay, with renderers kept from strike to strike."""

    def __init__(self, view: View) -> None:
        base = FACE_ON if view is View.FACE_ON else DOWN_THE_LINE
        left, top, width, height = CROPS[view]
        x, y = base.lens.centre_px
        lens = replace(base.lens, width_px=width, height_px=height, centre_px=(x - left, y - top))
        self.camera: Camera = replace(base, lens=lens)
        self._renderers: dict[SwingParameters, Renderer] = {}

    def film(self, swing: SwingParameters, phase: float, contact_ns: int) -> Filmed:
        """Film one strike; `phase` is the share of a frame by which a frame is after contact."""
        renderer = self._renderer(swing)
        step_s = 1 / float(self.camera.rate_hz)
        near = np.arange(round(_NEAR_S[0] / step_s), round(_NEAR_S[1] / step_s)) * step_s
        wanted = np.concatenate([_BEFORE_S, near, _AFTER_S])
        # Every picture stands on the camera's own beat.
        at_s = (np.round(wanted / step_s) + phase) * step_s
        greys = [
            cv2.cvtColor(renderer.frame(float(t), number=n), cv2.COLOR_RGB2GRAY)
            for n, t in enumerate(at_s)
        ]
        times_ns = contact_ns + np.round(at_s * NS_PER_S).astype(np.int64)
        return Filmed(greys=np.stack(greys), times_ns=times_ns, contact_ns=contact_ns)

    def _renderer(self, swing: SwingParameters) -> Renderer:
        known = self._renderers.get(swing)
        if known is None:
            known = Renderer(Golfer(swing), self.camera)
            for other in self._renderers.values():
                # The empty bay depends on the camera alone and takes longest.
                known._bay = other.bay
                break
            self._renderers[swing] = known
        return known


def swings() -> tuple[SwingParameters, ...]:
    """The invented swings of the lessons: each club, full and pitched."""
    return (
        SwingParameters(club_name="7 iron"),
        SwingParameters(club_name="driver", seed=2, downswing_s=0.25),
        SwingParameters(club_name="sand wedge", seed=3),
        SwingParameters(club_name="sand wedge", seed=4, kind=SwingKind.PITCH, club_top_deg=170.0),
    )
