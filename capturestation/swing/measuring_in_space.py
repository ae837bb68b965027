"""Measures of a golfer who was triangulated, in centimetres and true angles.

Owns how errors come together there: the pixels' part as the points carry it, set right by what the
body model makes of each measure (`space_errors.csv`, found on rendered golfers), and the parts of
the bay and of the clocks as they are. What space can't tell is taken by pictures; where the views'
clocks leave the club head open it is not told at all.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from math import hypot, isfinite

from capturestation.records import Mark, Measured, Moment, Result
from capturestation.swing.figure import HEAD, Figure
from capturestation.swing.held import HELD, held_finish
from capturestation.swing.marks import effective_marks
from capturestation.swing.measures import (
    BALL_TOO,
    CLUB,
    DEG,
    LENGTH,
    MEASURES,
    Measure,
    full_name,
    is_line_seen,
    is_turn_possible,
)
from capturestation.swing.measuring import (
    CORRECTED,
    IN_SPACE,
    METHOD,
    MOST_U_DEG,
    WIDER_ON_PEOPLE,
    Errors,
    by_moment,
    may_not_hold,
    measure_all,
    scale_of,
    table,
    why_too_rough,
)
from capturestation.swing.space import Parts, asked_of, parts_of, why_no_head

MOST_U_M = 0.10
"""A length whose stated error is more, one standard uncertainty, is not told in space."""
_CAUSES = (
    "where the model sees the joints",
    "where the cameras stand",
    "the views' clocks",
    CORRECTED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """What the body model makes of a measure, against its points' own errors.

    Args:
        random: What differs from swing to swing, in those errors.
        systematic: What stays with a golfer, likewise.
        offset: By how much too large it comes out, degrees, metres or a ratio; it is taken off.
    """

    random: float
    systematic: float
    offset: float


@cache
def factors() -> Mapping[str, Factors]:
    """By a measure's full name."""
    text = files("capturestation.swing").joinpath("space_errors.csv").read_text("utf-8")
    return {
        row["measure"]: Factors(
            random=float(row["random"]),
            systematic=float(row["systematic"]),
            offset=float(row["offset"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


@cache
def offsets() -> Mapping[str, Errors]:
    """What is taken off in space, as a curve takes it."""
    return {
        name: Errors(u_random=0.0, u_systematic=0.0, offset=one.offset)
        for name, one in factors().items()
    }


def measure_both(
    pictures: Figure | None,
    space: Figure | None,
    marks: Iterable[Mark],
    *,
    why_none: str = "",
    wider: float = WIDER_ON_PEOPLE,
) -> tuple[Result, ...]:
    """Take every measure in space where that can be told, else by pictures.

    Args:
        pictures: The golfer by pictures; None where nobody saw him.
        space: The golfer in metres; None where the bay isn't known.
        marks: Found and hand's together; the hand's count.
        why_none: Why there is no figure, a sentence.
        wider: By how much the model's part is widened.
    """
    held = tuple(marks)
    stays = _held(pictures, held, why_none, wider)
    flat = measure_all(pictures, held, why_none=why_none, wider=wider)
    if space is None:
        return (*flat, stays)
    chosen = effective_marks(held)
    by_name = {full_name(m, at): (m, at) for m in MEASURES for at in m.moments}
    both = (_in_space(space, chosen, *by_name[r.name], wider) or r for r in flat)
    return (*both, stays)


def _held(pictures: Figure | None, marks: tuple[Mark, ...], why_none: str, wider: float) -> Result:
    """How long the finish was held, by pictures: it takes no place, only that it is kept."""
    stated = table()[HELD].on_people(wider)
    return held_finish(pictures, marks, stated=stated, why_none=why_none)


def _in_space(
    figure: Figure, chosen: Mapping[Moment, Mark], measure: Measure, moment: Moment, wider: float
) -> Result | None:
    """A value in space, or why even pictures shall not tell it; None leaves it to pictures."""
    mark, at_set = chosen.get(moment), chosen.get(Moment.SET)
    name = full_name(measure, moment)
    known = factors().get(name)
    if mark is None or at_set is None or mark.at_ns is None or at_set.at_ns is None or not known:
        return None
    there, standing = figure.at(mark.at_ns), figure.at(at_set.at_ns)
    if HEAD in asked_of(measure.value, there, standing) and why_no_head(figure, mark.at_ns):
        return _withheld(measure, moment, why_no_head(figure, mark.at_ns))
    value = measure.value(there, standing)
    is_told = is_turn_possible(measure, moment, there) and is_line_seen(measure, there)
    if not isfinite(value) or not is_told:
        return None
    parts = parts_of(figure, measure.value, mark.at_ns, at_set.at_ns)
    if parts is None or _is_too_rough(measure, known, parts):
        return None
    shift = by_moment(figure, measure, mark, standing, value)
    if why_too_rough(measure, mark, 0.0, shift):
        return None
    measured = _measured(value - known.offset, known, parts, wider=wider, shift=shift)
    cause = measured.cause or f"when '{moment}' is"
    told = _told(replace(measured, cause=cause), *scale_of(figure, measure))
    return Result(name=name, moment=moment, measured=told, method=f"{METHOD} {IN_SPACE}")


def _withheld(measure: Measure, moment: Moment, why: str) -> Result | None:
    """What takes the club head from both views is not told; from one view it can be."""
    if measure.needs not in (CLUB, BALL_TOO):
        return None
    name = full_name(measure, moment)
    return Result(name=name, moment=moment, why_missing=why, method=METHOD)


def _told(measured: Measured, scale: float, unit: str) -> Measured:
    return replace(
        measured,
        value=measured.value * scale,
        unit=unit,
        u_random=measured.u_random * scale,
        u_systematic=measured.u_systematic * scale,
    )


def _is_too_rough(measure: Measure, known: Factors, parts: Parts) -> bool:
    u = hypot(known.random * parts.own, known.systematic * parts.own, parts.bay, parts.phase)
    most = {DEG: MOST_U_DEG, LENGTH: MOST_U_M}.get(measure.unit)
    return most is not None and u > most


def _measured(
    value: float, known: Factors, parts: Parts, *, wider: float, shift: float
) -> Measured:
    """A value with its errors, in the measure's own unit; no cause where it is the moment."""
    model = known.random * wider * parts.own
    lasting = known.systematic * wider * parts.own
    corrected = 0.0 if wider == 1.0 else may_not_hold(known.offset)
    sizes = (hypot(model, lasting), parts.bay, parts.phase, corrected, shift)
    return Measured(
        value=value,
        unit="",
        u_random=hypot(model, parts.phase, shift),
        u_systematic=hypot(lasting, corrected, parts.bay),
        cause=(*_CAUSES, "")[sizes.index(max(sizes))],
    )
