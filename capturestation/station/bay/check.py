"""The morning check: half a minute that tells whether this bay can be trusted today.

Owns what is looked at, measured from live pictures and from what the recording process says, and
when each thing counts as well. What can't be measured is said to be so and left to the coach's eye.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from capturestation.records import FrameArray, View
from capturestation.station.bay.setting import SharpThen
from capturestation.station.bay.standing import LITTLE_H, Level, Sign, Standing

LASTS_S = 30.0
BLURRED = 0.12
"""A picture's finest detail against the next coarser one, as powers: sharp ones are above 0.2, out
of focus they fall to a few hundredths."""
SOFTER = 0.6
"""Of what the same camera measured last: then it was touched, or its lens is dirty."""
DARK, BRIGHT = 45.0, 215.0
"""Mean grey, 0..255. In a dark bay a camera keeps its shutter open and the club is smeared away."""
QUIET_PEAK, LOUD_PEAK = 0.05, 0.985
"""Of a strike, largest sample 0..1: below it a soft shot may be missed, above it is cut."""
_LEAST_PX = 64


def sharpness(grey: FrameArray) -> float:
    """How much of a picture's finest detail is there.

    The power of the second differences at one pixel's distance, over that at two pixels' distance:
    contrast and light cancel, blur does not.

    Args:
        grey: (H, W) uint8, at least 64 px a side.

    Returns:
        About 0.2 to 1 for a sharp picture of a bay; 0 where it is even.
    """
    picture = grey.astype(np.float64)
    if min(picture.shape) < _LEAST_PX:
        msg = f"a picture of at least {_LEAST_PX} px a side, got {picture.shape}"
        raise ValueError(msg)
    fine, coarse = _detail(picture, 1), _detail(picture, 2)
    return fine / coarse if coarse > 0 else 0.0


def _detail(picture: np.ndarray[tuple[int, ...], np.dtype[np.float64]], step: int) -> float:
    across = picture[:, 2 * step :] - 2 * picture[:, step:-step] + picture[:, : -2 * step]
    down = picture[2 * step :] - 2 * picture[step:-step] + picture[: -2 * step]
    return float(np.mean(across**2) + np.mean(down**2))


def light(grey: FrameArray) -> float:
    """Mean grey of a picture, 0..255."""
    return float(np.mean(grey))


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """What one camera's live picture measured."""

    sharpness: float
    light: float


Moved = Callable[[View, FrameArray], Sign]
"""Whether a camera stands where it stood when the bay was measured; gets its grey picture."""


def not_measured(view: View, grey: FrameArray) -> Sign:  # noqa: ARG001 - the seam's shape
    """Where the bay's geometry was never measured, nothing can be said of it."""
    return Sign(what="check.moved_unknown", level=Level.LOOK, values={"view": str(view)})


@dataclass(slots=True, kw_only=True)
class MorningCheck:
    """One check.

    Args:
        before: What the last one measured.
        moved: Whether a camera was moved.
    """

    before: tuple[SharpThen, ...] = ()
    moved: Moved = not_measured
    measured: dict[View, Measured] = field(default_factory=dict)
    loudest: float = 0.0
    _moved: dict[View, Sign] = field(default_factory=dict)

    def see(self, view: View, grey: FrameArray) -> None:
        """Take up a live picture."""
        self.measured[view] = Measured(sharpness=sharpness(grey), light=light(grey))
        self._moved[view] = self.moved(view, grey)

    def hear(self, peak: float) -> None:
        """Take up the loudest of the last second."""
        self.loudest = max(self.loudest, peak)

    def figures(self) -> tuple[SharpThen, ...]:
        """What to keep for the next one; of a camera that sent nothing, what was known before."""
        now = {
            str(view): SharpThen(view=str(view), sharpness=one.sharpness, light=one.light)
            for view, one in self.measured.items()
        }
        return tuple(({one.view: one for one in self.before} | now).values())

    def signs(self, standing: Standing) -> tuple[Sign, ...]:
        """Every line of the check: each camera's, then sound, then disk."""
        found: list[Sign] = []
        for view in standing.cameras:
            found += self._camera(view, standing)
        found.append(self._ear(standing))
        room = standing.room()
        if room is not None:
            level = Level.LOOK if room.hours < LITTLE_H else Level.WELL
            values: Mapping[str, object] = dataclasses.asdict(room)
            found.append(Sign(what="check.disk", level=level, values=dict(values)))
        return tuple(found)

    def _camera(self, view: View, standing: Standing) -> list[Sign]:
        comes = next(s for s in standing.signs() if s.values.get("view") == str(view))
        measured = self.measured.get(view)
        if measured is None:
            return [comes]
        return [comes, self._focus(view, measured), _lit(view, measured), self._moved[view]]

    def _focus(self, view: View, measured: Measured) -> Sign:
        values: dict[str, object] = {"view": str(view)}
        then = next((one for one in self.before if one.view == view), None)
        if measured.sharpness < BLURRED:
            return Sign(what="check.blurred", level=Level.BAD, values=values)
        if then is not None and measured.sharpness < SOFTER * then.sharpness:
            return Sign(what="check.softer", level=Level.LOOK, values=values)
        return Sign(what="check.sharp", level=Level.WELL, values=values)

    def _ear(self, standing: Standing) -> Sign:
        deaf = next((s for s in standing.signs() if s.what in _DEAF), None)
        if deaf is not None:
            return deaf
        if self.loudest >= LOUD_PEAK:
            return Sign(what="check.too_loud", level=Level.LOOK)
        if self.loudest < QUIET_PEAK:
            return Sign(what="check.too_quiet", level=Level.LOOK)
        return Sign(what="check.loud_enough", level=Level.WELL)


_DEAF = ("deaf", "silent", "ear_awaited")


def _lit(view: View, measured: Measured) -> Sign:
    values: dict[str, object] = {"view": str(view)}
    if measured.light < DARK:
        return Sign(what="check.dark", level=Level.BAD, values=values)
    if measured.light > BRIGHT:
        return Sign(what="check.bright", level=Level.LOOK, values=values)
    return Sign(what="check.lit", level=Level.WELL, values=values)
