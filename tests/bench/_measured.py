"""Measures of invented golfers against their truth: errors, stated errors, and the table of both.

`python -m tests.bench._measured FILE SPACE` finds the tables of stated errors anew, by pictures and
in space, on golfers of whom the benchmark shows none.
"""

from __future__ import annotations

import csv
import sys
from collections import defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TypeAlias

import numpy as np

from capturestation.records import FloatArray, Moment
from capturestation.swing.figure import Figure
from capturestation.swing.formulas import At
from capturestation.swing.held import HELD
from capturestation.swing.measures import (
    LENGTH,
    MEASURES,
    RATIO,
    Measure,
    full_name,
    is_line_seen,
    is_turn_possible,
)
from capturestation.swing.space import parts_of
from sample_sessions.people import pitching, somebody
from tests.bench._held import held_row
from tests.bench._many import answers, one_network
from tests.bench._moment_pictures import Posed, cameras_of, posed

LEARNT_FROM = (*range(300, 360), *range(400, 440))
"""Seeds of the golfers by whom the table was found: none of the benchmark's."""
_LEAST_DEG, _LEAST_SHARE, _LEAST_RATIO = 0.3, 0.0015, 0.02
_LEAST_FACTOR, _HELD = 0.05, 0.9545
_FEWEST = 8
Off: TypeAlias = tuple[float, float]
"""An error and what the points' own errors make of the measure."""
_UNTOLD = (float("nan"), float("nan"))


def value_of(figure: Figure, measure: Measure, moment: Moment, one: Posed) -> float:
    """A measure of a figure at a true moment; NaN where the moment does not occur."""
    at = {mark.moment: mark.at_ns for mark in one.marks}
    at_ns, set_ns = at.get(moment), at.get(Moment.SET)
    if at_ns is None or set_ns is None:
        return float("nan")
    return measure.value(figure.at(at_ns), figure.at(set_ns))


def errors_by_name(pairs: Iterable[Sequence[Posed]]) -> dict[str, list[tuple[float, ...]]]:
    """For each measure the errors in both pictures of every golfer; NaN where it isn't told."""
    found: dict[str, list[tuple[float, ...]]] = defaultdict(list)
    for pair in pairs:
        both = [_errors(one) for one in pair]
        for name in sorted(set().union(*both)):
            found[name].append(tuple(errors.get(name, float("nan")) for errors in both))
    return found


def _errors(one: Posed) -> dict[str, float]:
    """All errors of one golfer's pictures by name."""
    seen, true = (
        {mark.moment: figure.at(mark.at_ns or 0) for mark in one.marks}
        for figure in (one.figure, one.truth)
    )
    found = {}
    for measure in MEASURES:
        for moment in () if measure.only_in_space else measure.moments:
            if moment not in seen or not _is_told(measure, moment, seen[moment]):
                continue
            values = [measure.value(at[moment], at[Moment.SET]) for at in (seen, true)]
            off = values[0] - values[1]
            off = (off + 180.0) % 360.0 - 180.0 if measure.turns else off
            if np.isfinite(off):
                found[full_name(measure, moment)] = off
    return found


def _is_told(measure: Measure, moment: Moment, at: At) -> bool:
    return is_turn_possible(measure, moment, at) and is_line_seen(measure, at)


def stated(errors: Sequence[tuple[float, ...]], least: float) -> tuple[float, float, float]:
    """Random and systematic standard uncertainty and offset by the errors of pairs of pictures.

    What differs between two pictures of one swing by moved cameras is random; what stays with a
    golfer is systematic; what stays with all of them is the offset.
    """
    every = np.array(errors)
    both = every[np.isfinite(every).all(axis=1)]
    flat = every[np.isfinite(every)]
    apart = np.abs(both[:, 0] - both[:, 1]) / np.sqrt(2.0)
    # Two of them have to hold 95 in a hundred, which flat errors' mean square alone doesn't see to.
    random = max(float(np.sqrt(np.mean(apart**2))), float(np.quantile(apart, _HELD)) / 2.0)
    whole = float(np.var(flat)) * len(every) / max(len(every) - 1, 1)
    systematic = float(np.sqrt(max(whole - random**2, 0.0)))
    return max(random, least), max(systematic, least), float(np.mean(flat))


def table_rows(errors: dict[str, list[tuple[float, ...]]]) -> list[tuple[str, str, str, str]]:
    """The table's rows; a measure seen too seldom takes what its other moments have."""
    rows = []
    for measure in (one for one in MEASURES if not one.only_in_space):
        least = {LENGTH: _LEAST_SHARE, RATIO: _LEAST_RATIO}.get(measure.unit, _LEAST_DEG)
        names = [full_name(measure, moment) for moment in measure.moments]
        every = [pair for name in names for pair in errors.get(name, [])]
        for name in names:
            own = errors.get(name, [])
            is_enough = sum(np.isfinite(pair).all() for pair in own) >= _FEWEST
            random, systematic, offset = stated(own if is_enough else every, least)
            rows.append((name, f"{random:.3g}", f"{systematic:.3g}", f"{offset:.3g}"))
    return rows


def space_errors(pairs: Iterable[Sequence[Posed]]) -> dict[str, list[tuple[Off, ...]]]:
    """For each measure in space the errors of both looks at every golfer, with his points' own."""
    found: dict[str, list[tuple[Off, ...]]] = defaultdict(list)
    for pair in pairs:
        both = [_off_in_space(one) for one in pair]
        for name in sorted(set().union(*both)):
            found[name].append(tuple(off.get(name, _UNTOLD) for off in both))
    return found


def _off_in_space(one: Posed) -> dict[str, Off]:
    at = {mark.moment: mark.at_ns or 0 for mark in one.marks}
    if one.space is None:
        return {}
    found = {}
    for measure in MEASURES:
        for moment in (m for m in measure.moments if m in at):
            there, at_set = (one.space.at(at[m]) for m in (moment, Moment.SET))
            scale = one.metres if measure.unit == LENGTH else 1.0
            off = measure.value(there, at_set) - scale * value_of(one.truth, measure, moment, one)
            off = (off + 180.0) % 360.0 - 180.0 if measure.turns else off
            if np.isfinite(off) and _is_told(measure, moment, there):
                parts = parts_of(one.space, measure.value, at[moment], at[Moment.SET])
                found[full_name(measure, moment)] = (off, 0.0 if parts is None else parts.own)
    return found


def space_rows(errors: dict[str, list[tuple[Off, ...]]]) -> list[tuple[str, str, str, str]]:
    """The rows in space: errors over the points' own, so that each swing's geometry counts."""
    rows = []
    for measure in MEASURES:
        names = [full_name(measure, moment) for moment in measure.moments]
        every = [pair for name in names for pair in errors.get(name, [])]
        for name in names:
            told = errors.get(name, [])
            is_enough = sum(np.isfinite(pair).all() for pair in told) >= _FEWEST
            taken = np.array(told if is_enough else every)
            if not len(taken):
                continue
            offset = _middle(taken[..., 0])
            shares = (taken[..., 0] - offset) / taken[..., 1]
            random, systematic, _ = stated([tuple(pair) for pair in shares], _LEAST_FACTOR)
            rows.append((name, f"{random:.3g}", f"{systematic:.3g}", f"{offset:.3g}"))
    return rows


def _middle(off: FloatArray) -> float:
    return float(np.mean(off[np.isfinite(off)]))


def both_looks(seed: int) -> tuple[Posed, ...]:
    """A golfer that is learnt from, looked at from two places each."""
    swing = pitching(somebody(seed)) if seed % 6 == 5 else somebody(seed)
    return tuple(
        posed(one_network(), swing, cameras=cameras_of(swing.hand, 2 * seed + k), shirt=seed)
        for k in range(2)
    )


def write_table(path: Path, head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """A table of errors as it comes with the program."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(head)
        writer.writerows(rows)


def _main(flat: Path, space: Path) -> None:
    pairs = answers(both_looks, LEARNT_FROM)
    rows = [*table_rows(errors_by_name(pairs)), held_row(HELD)]
    write_table(flat, ("measure", "u_random", "u_systematic", "offset"), rows)
    write_table(
        space, ("measure", "random", "systematic", "offset"), space_rows(space_errors(pairs))
    )


if __name__ == "__main__":
    _main(Path(sys.argv[1]), Path(sys.argv[2]))
