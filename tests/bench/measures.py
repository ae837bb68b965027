"""Measures of invented golfers against their truth: do stated errors hold, are departures named.

The body network looks at rendered pictures of each golfer at his moments, from cameras off their
places; club and ball are the true ones, a little off. Stated errors are taken as they are for
rendered golfers: on people they are widened. None of these golfers is among those by whom the
stated errors were found. With BENCH_QUICK set there are fewer of them. Every look at a
golfer is a piece of work by itself, for as many processes as there are cores.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import hypot, sqrt

import numpy as np

from capturestation.compare.differences import COVERAGE, change
from capturestation.records import Measured
from capturestation.swing.measures import LENGTH, MEASURES, full_name
from capturestation.swing.measuring import measure_all, table
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.people import pitching, somebody
from tests.bench._many import answers, one_network
from tests.bench._measured import value_of
from tests.bench._moment_pictures import Posed, cameras_of, posed
from tests.bench.report import Bar, BenchReport, Detail

FIRST_SEED, GOLFERS, DEPARTING = 9200, 40, 10
_QUICK = (6, 2)
_FEWEST = 20
# Measures that are seen less often don't decide the bars; they are told beside.
_DEPARTURES = (
    (Departures(pelvis_late_deg=26.0), "pelvis turn, lead arm level, down"),
    (Departures(slide_m=0.12), "pelvis to the target, top"),
    (Departures(off_plane_deg=14.0), "shaft off the plane, lead arm level, down"),
    (Departures(stand_up_deg=14.0), "forward bend since set, impact"),
)


@dataclass
class _Tally:
    """Errors and stated errors by measure, and what was named."""

    errors: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    stated: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    changes: list[bool] = field(default_factory=list)
    named: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Look:
    """One look at one golfer.

    Args:
        seed: Which golfer.
        turn: Which cameras.
        departures: What is put into his swing.
    """

    seed: int
    turn: int
    departures: Departures = field(default_factory=Departures)

    @property
    def swing(self) -> SwingParameters:
        """What he does."""
        swing = somebody(self.seed)
        swing = pitching(swing) if self.seed % 6 == 5 else swing
        return replace(swing, departures=self.departures)


def run(*, workers: int | None = None) -> BenchReport:
    """Look at every golfer twice, and at some with departures put in."""
    golfers, departing = _QUICK if os.environ.get("BENCH_QUICK") else (GOLFERS, DEPARTING)
    seeds = range(FIRST_SEED, FIRST_SEED + golfers)
    looks = [_Look(seed=seed, turn=turn) for seed in seeds for turn in range(2)]
    looks += [
        _Look(seed=seed, turn=2, departures=departures)
        for seed in seeds[:departing]
        for departures, _ in _DEPARTURES
        if _Look(seed=seed, turn=2).swing.is_full
    ]
    seen = dict(zip(looks, answers(_seen, looks, workers=workers), strict=True))
    return _report(_weighed(seen), golfers)


def _seen(look: _Look) -> Posed:
    swing = look.swing
    cameras = cameras_of(swing.hand, 3 * look.seed + look.turn)
    return posed(one_network(), swing, cameras=cameras, shirt=look.seed)


def _weighed(seen: Mapping[_Look, Posed]) -> _Tally:
    tally = _Tally()
    for look, one in seen.items():
        first = seen[_Look(seed=look.seed, turn=0)]
        if look.turn == 2:
            name = next(name for put_in, name in _DEPARTURES if put_in == look.departures)
            _name(tally, first, one, name)
            continue
        _weigh(tally, one)
        if look.turn == 1:
            tally.changes += [change_is_clear(a, b) for a, b in _both(first, one)]
    return tally


def _values(one: Posed) -> dict[str, Measured]:
    results = measure_all(one.figure, one.marks, wider=1.0)
    return {r.name: r.measured for r in results if r.measured is not None}


def _both(first: Posed, second: Posed) -> list[tuple[Measured, Measured]]:
    ours, theirs = _values(first), _values(second)
    return [(ours[name], theirs[name]) for name in ours if name in theirs]


def change_is_clear(now: Measured, then: Measured) -> bool:
    """Whether two pictures of one swing would be called a change."""
    return change(now, then, same_set_up=True).is_clear


def _weigh(tally: _Tally, one: Posed) -> None:
    values = _values(one)
    for measure in MEASURES:
        for moment in measure.moments:
            measured = values.get(full_name(measure, moment))
            true = value_of(one.truth, measure, moment, one)
            if measured is None or not np.isfinite(true):
                continue
            off = measured.value - true * (100.0 if measure.unit == LENGTH else 1.0)
            off = (off + 180.0) % 360.0 - 180.0 if measure.turns else off
            tally.errors[measure.name].append(off)
            tally.stated[measure.name].append(hypot(measured.u_random, measured.u_systematic))


def _name(tally: _Tally, first: Posed, departed: Posed, name: str) -> None:
    """Whether a departure that is large enough is called a change."""
    measure, moment = next(
        (m, at) for m in MEASURES for at in m.moments if full_name(m, at) == name
    )
    ours, theirs = _values(departed).get(name), _values(first).get(name)
    true = [value_of(one.truth, measure, moment, one) for one in (departed, first)]
    if not np.isfinite(true).all():
        return
    step = abs(true[0] - true[1])
    if step < 2.0 * COVERAGE * sqrt(2.0) * table()[name].u_random:
        return
    told = ours is not None and theirs is not None and change_is_clear(ours, theirs)
    tally.named[name].append(told)


def _report(tally: _Tally, golfers: int) -> BenchReport:
    rows: dict[str, Detail] = {}
    covers, sharp = [], []
    for name, errors in tally.errors.items():
        off, u = np.array(errors), np.array(tally.stated[name])
        rms = float(np.sqrt(np.mean(off**2)))
        held = 100.0 * float(np.mean(np.abs(off) <= COVERAGE * u))
        rows[name] = {
            "n": len(off), "rms": round(rms, 2), "median_u": round(float(np.median(u)), 2),
            "coverage_pct": round(held, 1),
        }  # fmt: skip
        if len(off) >= _FEWEST:
            covers.append(held)
            sharp.append(float(np.median(u)) / rms)
    named = [float(told) for answers in tally.named.values() for told in answers]
    return BenchReport(
        bench="measures",
        bars=(
            Bar(name="coverage_low_pct", value=min(covers), unit="%", op=">=", bar=88),
            Bar(name="coverage_high_pct", value=max(covers), unit="%", op="<=", bar=99),
            Bar(name="sharpness", value=max(sharp), unit="", op="<=", bar=1.3),
            Bar(name="departures_named_pct", value=100.0 * float(np.mean(named or [0.0])),
                unit="%", op=">=", bar=80),
            Bar(name="false_changes_pct", value=100.0 * float(np.mean(tally.changes)), unit="%",
                op="<=", bar=5),
        ),
        details={
            "golfers": golfers,
            "measures": rows,
            "coverage_of_all_pct": round(_all(tally), 1),
            "named": {name: f"{sum(told)} of {len(told)}" for name, told in tally.named.items()},
            "detectable": {name: round(COVERAGE * sqrt(2.0) * table()[name].u_random, 3)
                           for _, name in _DEPARTURES},
        },
    )  # fmt: skip


def _all(tally: _Tally) -> float:
    held = [
        abs(off) <= COVERAGE * u
        for name, errors in tally.errors.items()
        for off, u in zip(errors, tally.stated[name], strict=True)
    ]
    return 100.0 * float(np.mean(held))
