"""How the earlier swing's pictures are laid over today's in what goes home.

Owns the choice that the Bench makes too: by where both cameras stood, else by what was pointed out
in both, else as high as each other; a hand moves it on from there. Says which it was, for each
view, and why it is not the first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from capturestation.compare.overlay import PictureSize, Placing, lay_over, spots_of
from capturestation.library import Library
from capturestation.records import FloatArray, Recording, Swing, View
from capturestation.station.clip_request import Overlaid
from capturestation.station.redrawing import redrawn
from capturestation.station.standpoints import Standpoints, standpoints

HALF = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Nudge:
    """How an earlier picture is moved by hand from where it was placed.

    Args:
        dx: To the right, share of today's picture's width.
        dy: Down, share of its height.
        scale: Times as large, about the middle of today's picture.
    """

    dx: float = 0.0
    dy: float = 0.0
    scale: float = 1.0

    def matrix(self, now_px: tuple[int, int]) -> FloatArray:
        """The move in today's picture, counted from its edge, (3, 3).

        Args:
            now_px: Today's picture's width and height.
        """
        middle = np.array(now_px) / 2
        by_hand = np.diag([self.scale, self.scale, 1.0])
        by_hand[:2, 2] = (1 - self.scale) * middle + np.array([self.dx, self.dy]) * now_px
        return by_hand


@dataclass(frozen=True, slots=True, kw_only=True)
class Over:
    """How the earlier swing is to be laid over today's.

    Args:
        opacity: How strongly it shows, above 0 and below 1.
        as_filmed: Whether it stays as it was filmed, whatever could lay it.
        nudges: How a hand moved it, by view.
    """

    opacity: float = HALF
    as_filmed: bool = False
    nudges: Mapping[View, Nudge] = field(default_factory=dict)


def laid_over(
    library: Library, now: Swing, then: Swing, views: Sequence[View], over: Over
) -> dict[View, Overlaid]:
    """How the earlier pictures lie over today's, by view; one that can't be shown is left out.

    Args:
        library: Asked for the calibrations that held.
        now: Today's swing.
        then: The earlier one.
        views: The angles that are shown.
        over: How it is to be laid.
    """
    stood = standpoints(library, now), standpoints(library, then)
    laid = {}
    for view in views:
        ours, theirs = now.recording(view), then.recording(view)
        if ours is None or theirs is None or now.sync(view) is None or then.sync(view) is None:
            continue
        sizes = _size(ours), _size(theirs)
        placing, said = _placing(stood, view, sizes, as_filmed=over.as_filmed)
        nudge = over.nudges.get(view, Nudge())
        moved = nudge.matrix((ours.width_px, ours.height_px)) @ placing.from_edges
        if nudge != Nudge():
            said += " Moved by hand from there."
        laid[view] = Overlaid(now_from_then=moved, opacity=over.opacity, said=said)
    return laid


def _placing(
    stood: tuple[Standpoints, Standpoints],
    view: View,
    sizes: tuple[PictureSize, PictureSize],
    *,
    as_filmed: bool,
) -> tuple[Placing, str]:
    """How a view is laid, and what is said of it."""
    if as_filmed:
        plain = lay_over({}, {}, *sizes)
        return plain, "Laid over as it was filmed, as high as today's picture."
    now, then = stood
    by_cameras = redrawn(now, then, view)
    if by_cameras is not None:
        return by_cameras, by_cameras.said
    ours, theirs = (spots_of(one.swing.book.spots, view) for one in stood)
    placing = lay_over(ours, theirs, *sizes)
    return placing, f"{placing.said} Not redrawn as today's camera sees it: {_why(stood, view)}"


def _why(stood: tuple[Standpoints, Standpoints], view: View) -> str:
    """Why where the cameras stood doesn't lay it."""
    for whose, one in zip(("today", "the earlier swing"), stood, strict=True):
        if view in one.missing:
            missing = one.missing[view]
            return f"{whose}: {missing[0].lower()}{missing[1:]}"
    return "the two cameras stand too differently."


def _size(recording: Recording) -> PictureSize:
    return PictureSize(width_px=recording.width_px, height_px=recording.height_px)
