"""What the Bench knows of the bay: lines on the mat, the earlier swing as today's camera sees it.

Owns what of it is shown. Asks the library only in `read`, which may run beside the window; all else
is worked out from what was read and from what was pointed out since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from capturestation.compare.overlay import Placing
from capturestation.drawing.grid import Side
from capturestation.drawing.ground_lines import Ground, GroundLine
from capturestation.library import Library
from capturestation.records import Swing, View
from capturestation.station.bench.notice import Notice
from capturestation.station.ground import Seen, grounds
from capturestation.station.redrawing import redrawn
from capturestation.station.standpoints import Standpoints, standpoints

Known = Mapping[Side, Standpoints]


class BenchGrounds:
    """Where the cameras of both swings stood.

    Args:
        library: Asked for the calibrations that held.

    Attributes:
        changed: Something else is to be drawn, or laid otherwise.
        shown: What is drawn on the mat.
        is_as_filmed: Whether the earlier picture stays as it was filmed, whatever could lay it.
    """

    def __init__(self, library: Library) -> None:
        self.changed = Notice()
        self.shown: frozenset[Ground] = frozenset()
        self.is_as_filmed = False
        self._library = library
        self._known: dict[Side, Standpoints] = {}
        self._seen: dict[Side, tuple[Swing, dict[View, Seen]]] = {}

    def read(self, swings: Mapping[Side, Swing]) -> Known:
        """Where the cameras of these swings stood; takes up nothing yet."""
        return {side: standpoints(self._library, swing) for side, swing in swings.items()}

    def take(self, known: Known) -> None:
        """Take up what was read."""
        self._known = dict(known)
        self._seen.clear()
        self.changed()

    def knows(self, swings: Mapping[Side, Swing]) -> bool:
        """Whether these were read already."""
        return {s: one.id for s, one in swings.items()} == {
            side: known.swing.id for side, known in self._known.items()
        }

    def follow(self, swings: Mapping[Side, Swing]) -> None:
        """Something was pointed out, or found: lines lie elsewhere."""
        for side, swing in swings.items():
            known = self._known.get(side)
            if known is not None and known.swing.id == swing.id:
                self._known[side] = replace(known, swing=swing)

    def toggle(self, ground: Ground) -> None:
        """Draw it, or don't."""
        self.shown = self.shown ^ {ground}
        self.changed()

    def film(self, *, as_filmed: bool) -> None:
        """Leave the earlier picture as it was filmed, or redraw it."""
        self.is_as_filmed = as_filmed
        self.changed()

    def lines(self, side: Side, view: View) -> tuple[GroundLine, ...]:
        """What is drawn on one picture."""
        seen = self._of(side).get(view)
        if seen is None:
            return ()
        return tuple(
            line for ground in Ground if ground in self.shown for line in seen.lines.get(ground, ())
        )

    def why_not(self, ground: Ground, views: tuple[View, ...]) -> str:
        """Why something can't be drawn on today's pictures, and what would help; empty if it can.

        Args:
            ground: What.
            views: The angles that are shown.
        """
        known = self._known.get(Side.NOW)
        if known is None:
            return ""
        seen = [self._of(Side.NOW)[view] for view in views if view in self._of(Side.NOW)]
        if not seen:
            return next((known.missing[view] for view in views if view in known.missing), "")
        if any(one.lines.get(ground) for one in seen):
            return ""
        return next((one.why[ground] for one in seen if ground in one.why), "")

    def placing(self, view: View) -> Placing | None:
        """How the earlier picture lies over today's as today's camera sees it; None if it can't."""
        now, then = self._known.get(Side.NOW), self._known.get(Side.THEN)
        return None if now is None or then is None else redrawn(now, then, view)

    def _of(self, side: Side) -> dict[View, Seen]:
        known = self._known.get(side)
        if known is None:
            return {}
        held = self._seen.get(side)
        if held is None or held[0] is not known.swing:
            held = (known.swing, grounds(known))
            self._seen[side] = held
        return held[1]
