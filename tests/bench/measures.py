"""Measures of invented golfers against their truth: do stated errors hold, are departures named.

The body network looks at rendered pictures of each golfer at his moments, from cameras off their
places; club and ball are the true ones, a little off. Stated errors are taken as they are for
rendered golfers: on people they are widened. None of these golfers is among those by whom the
stated errors were found. With BENCH_QUICK set there are fewer of them. Every look at a
golfer is a piece of work by itself, for as many processes as there are cores.

The same looks are measured in space too, the bay known as well as boards leave it; that is told
apart, under the same bars.

Two looks at two hundred golfers are four hundred of a measure taken at one moment, less those that
say why they aren't told; of one taken at several moments it is so many of each.
"""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import hypot, sqrt
from typing import TypeAlias

import numpy as np

from capturestation.compare.differences import COVERAGE, change
from capturestation.records import Measured
from capturestation.swing.measures import MEASURES, full_name
from capturestation.swing.measuring import IN_SPACE, measure_all, table
from capturestation.swing.measuring_in_space import measure_both
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.people import pitching, somebody
from tests.bench._many import answers, one_network
from tests.bench._measured import value_of
from tests.bench._moment_pictures import Posed, cameras_of, posed
from tests.bench.report import Bar, BenchReport, Detail

FIRST_SEED, GOLFERS, DEPARTING = 9200, 200, 10
_QUICK = (6, 2)
_FEWEST = 20
# Measures that are seen less often don't decide the bars; they are told beside.
_DEPARTURES = (
    (Departures(pelvis_late_deg=26.0), "pelvis turn, lead arm level, down"),
    (Departures(slide_m=0.12), "pelvis to the target, top"),
    (Departures(off_plane_deg=14.0), "shaft off the plane, lead arm level, down"),
    (Departures(stand_up_deg=14.0), "forward bend since set, impact"),
)


_Values: TypeAlias = Callable[[Posed], dict[str, Measured]]


@dataclass
class _Tally:
    """Errors and stated errors by measure, and what was named.

    Args:
        values: What is told of a look.
    """

    values: _Values
    errors: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    stated: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    changes: list[bool] = field(default_factory=list)
    named: dict[str, list[bool]] = field(default_factory=lambda: defaultdict(list))
    detectable: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))


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
    return _report(_weighed(seen, _by_pictures), _weighed(seen, _in_space), golfers)


def _seen(look: _Look) -> Posed:
    swing = look.swing
    cameras = cameras_of(swing.hand, 3 * look.seed + look.turn)
    # Both looks of one swing are by one measured bay: its errors are shared.
    return posed(one_network(), swing, cameras=cameras, shirt=look.seed, bay_seed=look.seed)


def _weighed(seen: Mapping[_Look, Posed], values: _Values) -> _Tally:
    tally = _Tally(values=values)
    for look, one in seen.items():
        first = seen[_Look(seed=look.seed, turn=0)]
        if look.turn == 2:
            name = next(name for put_in, name in _DEPARTURES if put_in == look.departures)
            _name(tally, first, one, name)
            continue
        _weigh(tally, one)
        if look.turn == 1:
            tally.changes += [change_is_clear(a, b) for a, b in _both(tally, first, one)]
    return tally


def _by_pictures(one: Posed) -> dict[str, Measured]:
    results = measure_all(one.figure, one.marks, wider=1.0)
    return {r.name: r.measured for r in results if r.measured is not None}


def _in_space(one: Posed) -> dict[str, Measured]:
    results = measure_both(one.figure, one.space, one.marks, wider=1.0)
    return {
        r.name: r.measured
        for r in results
        if r.measured is not None and r.method.endswith(IN_SPACE)
    }


def _both(tally: _Tally, first: Posed, second: Posed) -> list[tuple[Measured, Measured]]:
    ours, theirs = tally.values(first), tally.values(second)
    return [(ours[name], theirs[name]) for name in ours if name in theirs]


def change_is_clear(now: Measured, then: Measured) -> bool:
    """Whether two pictures of one swing would be called a change."""
    return change(now, then, same_set_up=True).is_clear


def _weigh(tally: _Tally, one: Posed) -> None:
    values = tally.values(one)
    for measure in MEASURES:
        for moment in measure.moments:
            measured = values.get(full_name(measure, moment))
            true = value_of(one.truth, measure, moment, one)
            if measured is None or not np.isfinite(true):
                continue
            off = measured.value - true * _scale(measured, one)
            off = (off + 180.0) % 360.0 - 180.0 if measure.turns else off
            tally.errors[measure.name].append(off)
            tally.stated[measure.name].append(hypot(measured.u_random, measured.u_systematic))


def _scale(measured: Measured, one: Posed) -> float:
    """From the truth's own unit, heights for a length, to the one that is told."""
    return {"cm": 100.0 * one.metres, "% of height": 100.0}.get(measured.unit, 1.0)


def _name(tally: _Tally, first: Posed, departed: Posed, name: str) -> None:
    """Whether a departure that is large enough is called a change."""
    measure, moment = next(
        (m, at) for m in MEASURES for at in m.moments if full_name(m, at) == name
    )
    ours, theirs = tally.values(departed).get(name), tally.values(first).get(name)
    true = [value_of(one.truth, measure, moment, one) for one in (departed, first)]
    if not np.isfinite(true).all():
        return
    step = abs(true[0] - true[1])
    if ours is None or theirs is None:
        if step >= 2.0 * COVERAGE * sqrt(2.0) * table()[name].u_random:
            tally.named[name].append(False)
        return
    detectable = COVERAGE * hypot(ours.u_random, theirs.u_random)
    tally.detectable[name].append(detectable)
    if step * _scale(ours, first) >= 2.0 * detectable:
        tally.named[name].append(change_is_clear(ours, theirs))


def covered_pct(found: Sequence[Posed], values: _Values) -> float:
    """How many of a hundred errors, of all that is told of these golfers, two stated ones hold."""
    tally = _Tally(values=values)
    for one in found:
        _weigh(tally, one)
    return _all(tally)


def _report(flat: _Tally, space: _Tally, golfers: int) -> BenchReport:
    return BenchReport(
        bench="measures",
        bars=_bars(flat),
        details={
            "golfers": golfers,
            **_details(flat),
            "in space": {"bars": [bar.plain() for bar in _bars(space)], **_details(space)},
        },
    )


def _bars(tally: _Tally) -> tuple[Bar, ...]:
    """The bars, by measures that were seen often enough."""
    often = [name for name, off in tally.errors.items() if len(off) >= _FEWEST]
    covers = [_held_pct(tally, name) for name in often] or [0.0]
    sharp = [_median_u(tally, name) / _rms(tally, name) for name in often] or [float("inf")]
    named = [float(told) for answers in tally.named.values() for told in answers]
    return (
        Bar(name="coverage_low_pct", value=min(covers), unit="%", op=">=", bar=88),
        Bar(name="coverage_high_pct", value=max(covers), unit="%", op="<=", bar=99),
        Bar(name="sharpness", value=max(sharp), unit="", op="<=", bar=1.3),
        Bar(name="departures_named_pct", value=100.0 * float(np.mean(named or [0.0])),
            unit="%", op=">=", bar=80),
        Bar(name="false_changes_pct", value=100.0 * float(np.mean(tally.changes)), unit="%",
            op="<=", bar=5),
    )  # fmt: skip


def _details(tally: _Tally) -> dict[str, Detail]:
    rows: dict[str, Detail] = {
        name: {
            "n": len(off),
            "rms": round(_rms(tally, name), 2),
            "median_u": round(_median_u(tally, name), 2),
            "coverage_pct": round(_held_pct(tally, name), 1),
        }
        for name, off in tally.errors.items()
    }
    return {
        "measures": rows,
        "coverage_of_all_pct": round(_all(tally), 1),
        "named": {name: f"{sum(told)} of {len(told)}" for name, told in tally.named.items()},
        "detectable": {
            name: round(float(np.median(sizes)), 2) for name, sizes in tally.detectable.items()
        },
    }


def _rms(tally: _Tally, name: str) -> float:
    return float(np.sqrt(np.mean(np.square(tally.errors[name]))))


def _median_u(tally: _Tally, name: str) -> float:
    return float(np.median(tally.stated[name]))


def _held_pct(tally: _Tally, name: str) -> float:
    off, u = np.array(tally.errors[name]), np.array(tally.stated[name])
    return 100.0 * float(np.mean(np.abs(off) <= COVERAGE * u))


def _all(tally: _Tally) -> float:
    held = [
        abs(off) <= COVERAGE * u
        for name, errors in tally.errors.items()
        for off, u in zip(errors, tally.stated[name], strict=True)
    ]
    return 100.0 * float(np.mean(held))
