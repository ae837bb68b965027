"""Measures of one swing with their errors, each with its cause, or the reason why it is missing.

Owns how errors come together: of the joints (a part that stays from swing to swing and a part that
doesn't, both found on rendered golfers and kept in a table), and of the moment (how fast the value
changes there). Owns the one factor by which all are widened on people.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import hypot, isfinite, sqrt

import numpy as np

from capturestation.records import NS_PER_S, FloatArray, Mark, Measured, Moment, Result
from capturestation.swing.figure import POINTS, Figure
from capturestation.swing.formulas import At
from capturestation.swing.marks import effective_marks
from capturestation.swing.measures import (
    DEG,
    LENGTH,
    MEASURES,
    RATIO,
    Measure,
    full_name,
    is_line_seen,
    is_turn_possible,
)

METHOD = "measures 6"
IN_SPACE, BY_PICTURES = "in space", "by pictures"
"""How a value was made; written behind the method."""
WIDER_ON_PEOPLE = 1.5
"""By how much stated errors of joints are widened on people. The table was found on rendered
golfers, which have no loose clothes and no faces; no comparison with a trusted instrument on people
has been made yet, and published ones give markerless turns 8 to 10 degrees. To be replaced by what
the check with a stick across the hips gives."""
MOST_U_DEG = 16.0
"""An angle whose stated error on rendered golfers is more, one standard uncertainty, is not told:
twice that either way is wider than what golfers differ by."""
_SIDES = "Which side is which could not be told there."
_COLLAPSED = "Hips or shoulders are seen almost in one place there, which tells no turn."
CORRECTED = "whether a correction found on rendered golfers holds"
"""A cause of errors on people."""
_SLOPE_NS = 12_000_000
_UNITS = {DEG: "deg", RATIO: "ratio"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Errors:
    """Standard uncertainties of a measure by its joints alone, as found on rendered golfers.

    Args:
        u_random: What differs from swing to swing, small moves of the cameras included.
        u_systematic: What stays with a golfer and a set-up.
        offset: By how much too large it came out on the mean of them; it is taken off.
    """

    u_random: float
    u_systematic: float
    offset: float = 0.0

    def on_people(self, wider: float) -> Errors:
        """The same, widened; a correction found on rendered golfers may not hold on people."""
        if wider == 1.0:
            return self
        whole = hypot(self.u_systematic * wider, may_not_hold(self.offset))
        return Errors(u_random=self.u_random * wider, u_systematic=whole, offset=self.offset)


def may_not_hold(offset: float) -> float:
    """Standard uncertainty of a correction of which nobody knows how much of it holds on people.

    From none of it to twice as much counts as equally likely, so that two of it hold all of that.

    Source:
        Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4.3.7.
    """
    return abs(offset) / sqrt(3.0)


@cache
def table() -> Mapping[str, Errors]:
    """The stated errors by a measure's full name; lengths in shares of the golfer's height."""
    text = files("capturestation.swing").joinpath("measure_errors.csv").read_text("utf-8")
    return {
        row["measure"]: Errors(
            u_random=float(row["u_random"]),
            u_systematic=float(row["u_systematic"]),
            offset=float(row["offset"]),
        )
        for row in csv.DictReader(text.splitlines())
    }


def measure_all(
    figure: Figure | None,
    marks: Iterable[Mark],
    *,
    why_none: str = "",
    wider: float = WIDER_ON_PEOPLE,
    errors: Mapping[str, Errors] | None = None,
) -> tuple[Result, ...]:
    """Take every measure at every moment of its own.

    Args:
        figure: The golfer in space; None where there is none.
        marks: Found and hand's together; the hand's count.
        why_none: Why there is no figure, a sentence.
        wider: By how much the errors of joints are widened.
        errors: The table; the one that comes with the program unless given.
    """
    chosen = effective_marks(marks)
    known = table() if errors is None else errors
    results = []
    for measure in MEASURES:
        for moment in measure.moments:
            name = full_name(measure, moment)
            why = _why_not(figure, chosen, moment, why_none)
            if why or figure is None:
                results.append(_missing(name, moment, why))
                continue
            stated = known.get(name)
            results.append(_taken(figure, chosen, measure, moment, stated, wider))
    return tuple(results)


def _why_not(
    figure: Figure | None, chosen: Mapping[Moment, Mark], moment: Moment, why_none: str
) -> str:
    if figure is None:
        return why_none or "Nobody looked for the body."
    for needed in (Moment.SET, moment):
        mark = chosen.get(needed)
        if mark is None:
            return f"'{needed}' is not marked."
        if not mark.occurs:
            return f"'{needed}' does not occur."
    return ""


def _missing(name: str, moment: Moment, why: str) -> Result:
    return Result(name=name, moment=moment, why_missing=why, method=METHOD)


def _taken(
    figure: Figure,
    chosen: Mapping[Moment, Mark],
    measure: Measure,
    moment: Moment,
    stated: Errors | None,
    wider: float,
) -> Result:
    name = full_name(measure, moment)
    mark = chosen[moment]
    set_ns, at_ns = chosen[Moment.SET].at_ns or 0, mark.at_ns or 0
    at_set, there = figure.at(set_ns), figure.at(at_ns)
    value = measure.value(there, at_set)
    why = _why_untold(measure, moment, there, value, stated)
    if why or stated is None:
        return _missing(name, moment, why)
    shift = by_moment(figure, measure, mark, at_set, value)
    rough = why_too_rough(measure, mark, hypot(stated.u_random, stated.u_systematic), shift)
    if rough:
        return _missing(name, moment, rough)
    corrected = 0.0 if wider == 1.0 else may_not_hold(stated.offset)
    stated = stated.on_people(wider)
    u_random, u_systematic = hypot(stated.u_random, shift), stated.u_systematic
    scale, unit = scale_of(figure, measure)
    measured = Measured(
        value=(value - stated.offset) * scale,
        unit=unit,
        u_random=u_random * scale,
        u_systematic=u_systematic * scale,
        cause=_cause(moment, shift, stated, corrected),
    )
    return Result(name=name, moment=moment, measured=measured, method=f"{METHOD} {BY_PICTURES}")


def _why_untold(
    measure: Measure, moment: Moment, there: At, value: float, stated: Errors | None
) -> str:
    """Why a value is not told, a sentence; empty where it can be."""
    if measure.only_in_space:
        return "It needs both cameras' places measured, and what it takes seen by both."
    if not isfinite(value):
        return f"It needs {measure.needs} there."
    if not (is_turn_possible(measure, moment, there) and is_line_seen(measure, there)):
        return _SIDES if is_line_seen(measure, there) else _COLLAPSED
    if stated is None:
        return "How well it can be measured is not known yet."
    u = hypot(stated.u_random, stated.u_systematic)
    if measure.unit == DEG and u > MOST_U_DEG:
        return f"Pictures tell it only to \N{PLUS-MINUS SIGN} {2 * u:.0f} degrees there."
    return ""


def why_too_rough(measure: Measure, mark: Mark, u: float, shift: float) -> str:
    """Why a moment that is known too badly tells no angle, a sentence; empty where it does.

    Slow cameras show a moment in one picture or the next, and meanwhile the club has gone on.
    """
    if measure.unit != DEG or hypot(u, shift) <= MOST_U_DEG:
        return ""
    either_ms = ((mark.late_ns or 0) - (mark.early_ns or 0)) / 2 / 1e6
    return (
        f"'{mark.moment}' is known to ± {either_ms:.0f} ms only, in which this "
        "changes too much: mark it by hand, or film more pictures a second."
    )


def scale_of(figure: Figure, measure: Measure) -> tuple[float, str]:
    """From a measure's own unit to the one that is told, and its name."""
    if measure.unit != LENGTH:
        return 1.0, _UNITS[measure.unit]
    return (100.0, "% of height") if figure.metres is None else (100.0 * figure.metres, "cm")


def _cause(moment: Moment, shift: float, stated: Errors, corrected: float) -> str:
    """What the largest part of an error comes from."""
    lasting = sqrt(max(stated.u_systematic**2 - corrected**2, 0.0))
    if corrected > max(shift, lasting, stated.u_random):
        return CORRECTED
    if shift > max(stated.u_systematic, stated.u_random):
        return f"when '{moment}' is"
    return "where the model sees the joints"


def by_moment(
    figure: Figure, measure: Measure, mark: Mark, at_set: dict[str, FloatArray], value: float
) -> float:
    """What not knowing the moment exactly makes of a value, standard uncertainty.

    Args:
        figure: In space or by pictures.
        measure: Which.
        mark: The moment.
        at_set: The points at set.
        value: The value at the moment.
    """
    at_ns, early_ns, late_ns = mark.at_ns or 0, mark.early_ns or 0, mark.late_ns or 0
    # The ends of an interval are two standard uncertainties out.
    u_s = (late_ns - early_ns) / 4 / NS_PER_S
    slopes = []
    for step_ns in (-_SLOPE_NS, _SLOPE_NS):
        there = figure.at(at_ns + step_ns)
        beside = measure.value(there, at_set)
        if isfinite(beside) and is_line_seen(measure, there):
            step = beside - value
            if measure.turns:
                step = (step + 180.0) % 360.0 - 180.0
            slopes.append(abs(step) / (_SLOPE_NS / NS_PER_S))
    return u_s * (sum(slopes) / len(slopes)) if slopes else 0.0


def curve(
    figure: Figure,
    measure: Measure,
    marks: Iterable[Mark],
    *,
    errors: Mapping[str, Errors] | None = None,
) -> FloatArray:
    """A measure at every instant of a figure, (n,), in its own unit; NaN where it isn't known.

    What is taken off at the moments is taken off between them too, in proportion, so that the
    curve goes through the values that are stated.

    Args:
        figure: The golfer in space.
        measure: Which.
        marks: Found and hand's together; without set there is no curve.
        errors: The table; the one that comes with the program unless given.
    """
    chosen = effective_marks(marks)
    at_set = chosen.get(Moment.SET)
    if at_set is None or at_set.at_ns is None:
        return np.full(len(figure.times_ns), np.nan)
    start = figure.at(at_set.at_ns)
    instants = [dict(zip(POINTS, at, strict=True)) for at in figure.points]
    values = [measure.value(at, start) if is_line_seen(measure, at) else np.nan for at in instants]
    found = np.array(values, dtype=np.float64)
    if measure.turns:
        known = np.isfinite(found)
        found[known] = np.degrees(np.unwrap(np.radians(found[known])))
    known_errors = table() if errors is None else errors
    taken_off = [
        (mark.at_ns, known_errors[full_name(measure, moment)].offset)
        for moment in measure.moments
        if (mark := chosen.get(moment)) is not None
        and mark.at_ns is not None
        and full_name(measure, moment) in known_errors
    ]
    if taken_off:
        times, offsets = zip(*sorted(taken_off), strict=True)
        found = found - np.interp(figure.times_ns, times, offsets)
    return found * scale_of(figure, measure)[0]
