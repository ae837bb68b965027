"""Whether the target line still holds, by the stick that stays on the mat.

Owns the words of the answer, and which calibration the stick is laid against.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from calibration.linecheck import TURNED_DEG, LineCheck, LineVerdict, check_line
from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import FloatArray
from capturestation.station.from_pictures import explained
from capturestation.station.standpoints import bay_in

VERSION = 1
_LEAST_DEG, _LEAST_CM = 0.05, 0.5
# Less is written as nothing.
_PM, _DEG = "\N{PLUS-MINUS SIGN}", "\N{DEGREE SIGN}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChecked:
    """What the stick says.

    Args:
        format: Of the report.
        version: Of that format.
        camera: Whose picture was marked.
        verdict: Holds, turned, or can't be told.
        turn_deg: Against the clock as seen from above.
        u_turn_deg: Standard error, without how well the stick was laid.
        offset_m: How far left of the line its middle lies.
        u_offset_m: Standard error.
        offset_off_m: That less the offset entered.
        length_m: As measured.
        said: The answer in words.
    """

    format: str = "line check"
    version: int = VERSION
    camera: str
    verdict: str
    turn_deg: float
    u_turn_deg: float
    offset_m: float
    u_offset_m: float
    offset_off_m: float
    length_m: float
    said: str

    @property
    def is_turned(self) -> bool:
        """Whether line and stick no longer go together."""
        return self.verdict == LineVerdict.TURNED


def check_stick(
    library: Library, camera: str, ends_px: FloatArray, offset_m: float, when: datetime
) -> LineChecked:
    """Lay the stick that stays against the line of the calibration that holds.

    Args:
        library: The calibrations.
        camera: Whose picture was marked.
        ends_px: The stick's ends in pixels of its recordings, rear first, (2, 2).
        offset_m: How far left of the target line it was laid, looking at the target.
        when: By which calibration.

    Raises:
        NotFoundError: If that camera's place was not measured.
        BadInputError: If the ends don't lie on the mat, or the calibration can't be read.
    """
    row = library.calibration_at(camera, when)
    if row is None:
        raise NotFoundError(
            f"Where {camera} stands was not measured yet.",
            try_next="Measure the bay first, with the board or with two sticks.",
            subject=camera,
        )
    bay = explained(partial(bay_in, row))
    found = explained(partial(check_line, bay, camera, ends_px, offset_m=offset_m))
    return LineChecked(
        camera=camera,
        verdict=str(found.verdict),
        turn_deg=found.turn_deg,
        u_turn_deg=found.u_turn_deg,
        offset_m=found.offset_m,
        u_offset_m=found.u_offset_m,
        offset_off_m=found.offset_off_m,
        length_m=found.length_m,
        said=_said(found, bay.line_u_deg),
    )


def _said(found: LineCheck, line_u_deg: float) -> str:
    """The answer in words: first what it means, then the figures."""
    means = {
        LineVerdict.HOLDS: "The target line holds",
        LineVerdict.TURNED: "Stick and target line no longer lie parallel",
        LineVerdict.UNSURE: "Whether the target line holds can't be told well enough",
    }[found.verdict]
    told = f"{means}: the stick {_turned(found.turn_deg)}, {_PM} {found.u_turn_deg:.1f}{_DEG}, and "
    told += f"lies {_off(found.offset_off_m)}, {_PM} {100 * found.u_offset_m:.0f} cm."
    if found.verdict is LineVerdict.TURNED:
        return f"{told} Lay the stick again; if it lies as it did, measure the bay anew."
    if found.verdict is LineVerdict.UNSURE:
        return f"{told} The camera that looks down the line tells it best."
    laid = f"How well a stick is laid, {TURNED_DEG:.0f} or {2 * TURNED_DEG:.0f}{_DEG}, "
    return f"{told} {laid}is not in this; the line itself was laid to {line_u_deg:g}{_DEG}."


def _turned(turn_deg: float) -> str:
    """Which way it points.

    Example:
        >>> _turned(0.01), _turned(-2.4)
        ('lies parallel to it', 'points 2.4° right of it')
    """
    if abs(turn_deg) < _LEAST_DEG:
        return "lies parallel to it"
    return f"points {abs(turn_deg):.1f}{_DEG} {'left' if turn_deg > 0 else 'right'} of it"


def _off(off_m: float) -> str:
    """How far from where it was entered.

    Example:
        >>> _off(0.001), _off(-0.1)
        ('where it was entered', '10 cm further right than entered')
    """
    off_cm = abs(100 * off_m)
    if off_cm < _LEAST_CM:
        return "where it was entered"
    return f"{off_cm:.0f} cm further {'left' if off_m > 0 else 'right'} than entered"
