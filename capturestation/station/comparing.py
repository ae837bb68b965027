"""Compare a swing with the student's own earlier one: which, where, and what really changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from capturestation.compare.differences import COVERAGE, change
from capturestation.compare.pairing import Choice, own_best, refuse_unless_comparable
from capturestation.compare.timemap import TimeMap, at_one_moment, at_shared_marks
from capturestation.library import Library
from capturestation.records import (
    Mark,
    Measured,
    Moment,
    Plain,
    Swing,
    Sync,
    SyncSource,
    to_plain,
)
from capturestation.station.finding import latest_or
from capturestation.swing.focus import spoken_of
from capturestation.swing.marks import effective_marks
from capturestation.swing.measures import ways_of

_EACH_BY_ITSELF = 3
# More measures than these that lack the same are told in one sentence.


@dataclass(frozen=True, slots=True, kw_only=True)
class MomentRow:
    """One moment in both swings, each on its own clock.

    Args:
        moment: Which.
        now_ns: When it is today; None where it isn't marked or does not occur.
        then_ns: When it was in the earlier swing.
        now_within_ns: How far the time may lie from that: the farther end of its interval, for
            impact two standard uncertainties of the view that is known worst.
        then_within_ns: The same of the earlier swing.
        said: What else to know.
    """

    moment: Moment
    now_ns: int | None
    then_ns: int | None
    now_within_ns: int | None = None
    then_within_ns: int | None = None
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One measure in both swings and whether it changed."""

    name: str
    now: Measured
    then: Measured
    difference: float
    u: float
    is_clear: bool
    words: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Two swings of one student side by side."""

    now: Swing
    then: Swing
    label: str
    why: str
    time_map: TimeMap
    rows: tuple[MomentRow, ...]
    changes: tuple[ChangeRow, ...]
    said: tuple[str, ...]


def pick(library: Library, now: str, then: str | None) -> tuple[Swing, Choice]:
    """The swing to look at and the one to lay beside it.

    Args:
        library: The library.
        now: Id, or "latest".
        then: Id, or None for the own best.

    Raises:
        NotFoundError: If there is no such swing.
        ComparisonRefusedError: If the two are unlike, or there is nothing to stand beside.
    """
    swing = latest_or(library, now)
    if then is None:
        return swing, own_best(swing, library.may_stand_beside(swing))
    other = latest_or(library, then)
    refuse_unless_comparable(swing, other)
    label = "own best" if other.book.starred else "chosen"
    return swing, Choice(swing=other, label=label, why="Chosen by hand.")


def compare(
    library: Library, now: str, then: str | None, *, at_one: Moment | None = None
) -> Comparison:
    """Compare two swings; `pick` says which and what is refused."""
    swing, choice = pick(library, now, then)
    marks_now = effective_marks(swing.book.marks)
    marks_then = effective_marks(choice.swing.book.marks)
    laid = (
        at_shared_marks(marks_now, marks_then)
        if at_one is None
        else at_one_moment(at_one, marks_now, marks_then)
    )
    return Comparison(
        now=swing,
        then=choice.swing,
        label=choice.label,
        why=choice.why,
        time_map=laid,
        rows=tuple(
            _zero_row(swing, choice.swing)
            if m is Moment.IMPACT
            else _row(m, marks_now.get(m), marks_then.get(m))
            for m in Moment
        ),
        changes=changes(library, swing, choice.swing),
        said=_said(swing, choice.swing, laid),
    )


def _zero_row(now: Swing, then: Swing) -> MomentRow:
    """Impact: zero on both clocks, as well as contact is known."""
    within = [
        max((round(COVERAGE * sync.u_ns) for sync in swing.book.syncs), default=None)
        for swing in (now, then)
    ]
    return MomentRow(
        moment=Moment.IMPACT,
        now_ns=0,
        then_ns=0,
        now_within_ns=within[0],
        then_within_ns=within[1],
    )


def _within_ns(mark: Mark | None) -> int | None:
    if mark is None or mark.at_ns is None or mark.early_ns is None or mark.late_ns is None:
        return None
    return max(mark.at_ns - mark.early_ns, mark.late_ns - mark.at_ns)


def _row(moment: Moment, now: Mark | None, then: Mark | None) -> MomentRow:
    told = [
        f"{which}: {_state(mark)}" for which, mark in (("now", now), ("then", then)) if _state(mark)
    ]
    return MomentRow(
        moment=moment,
        now_ns=None if now is None else now.at_ns,
        then_ns=None if then is None else then.at_ns,
        now_within_ns=_within_ns(now),
        then_within_ns=_within_ns(then),
        said=", ".join(told),
    )


def _state(mark: Mark | None) -> str:
    if mark is None:
        return "not marked"
    return "" if mark.occurs else "does not occur"


def _measures(swing: Swing) -> dict[str, Measured]:
    return {r.name: r.measured for r in swing.book.results if r.measured is not None}


def changes(library: Library, now: Swing, then: Swing) -> tuple[ChangeRow, ...]:
    """Each measure that both swings have, and whether it changed."""
    ours, theirs = _measures(now), _measures(then)
    # The two themselves stay out: a large change would hide in the spread that it makes.
    own = library.own_values(now, without=(now.id, then.id))
    alike = same_set_up(library, now, then)
    methods = [{r.name: r.method for r in swing.book.results} for swing in (now, then)]
    rows = []
    for name in ours:
        if name not in theirs:
            continue
        if ours[name].unit != theirs[name].unit:
            # One was measured in metres, the other before the cameras' places were known.
            continue
        found = change(
            ours[name], theirs[name], own_values=own.get(name, ()), ways=ways_of(name),
            same_set_up=alike and methods[0].get(name) == methods[1].get(name),
        )  # fmt: skip
        rows.append(
            ChangeRow(
                name=name,
                now=ours[name],
                then=theirs[name],
                difference=found.value,
                u=found.u,
                is_clear=found.is_clear,
                words=found.words,
                note=found.note,
            )
        )
    return tuple(rows)


def clear_changes(rows: Iterable[ChangeRow], focus: Iterable[str]) -> tuple[ChangeRow, ...]:
    """The clear changes, those first that a lesson works on."""
    wanted = spoken_of(focus)
    clear = [row for row in rows if row.is_clear]
    return tuple(sorted(clear, key=lambda row: row.name.partition(", ")[0] not in wanted))


def same_set_up(library: Library, now: Swing, then: Swing) -> bool:
    """Whether both were filmed by the same named cameras, with no other calibration since."""
    cameras = {r.view: r.camera for r in now.facts.recordings}
    if cameras != {r.view: r.camera for r in then.facts.recordings} or "" in cameras.values():
        return False
    held = [
        [library.calibration_at(camera, swing.facts.struck_at) for camera in cameras.values()]
        for swing in (now, then)
    ]
    return held[0] == held[1]


def _said(now: Swing, then: Swing, laid: TimeMap) -> tuple[str, ...]:
    told = [laid.said, *(f"{gone.moment} is left out: {gone.why}." for gone in laid.left_out)]
    for which, swing in (("now", now), ("then", then)):
        told += [
            f"{which}, {sync.view}: {sync.said}"
            for sync in swing.book.syncs
            if sync.said and not is_ordinary(sync)
        ]
        told += _missing(which, swing)
    return tuple(told)


def _missing(which: str, swing: Swing) -> list[str]:
    """What is missing and why; many of one reason in one sentence."""
    names: dict[str, list[str]] = {}
    for result in swing.book.results:
        if result.why_missing:
            names.setdefault(result.why_missing, []).append(result.name)
    told = []
    for why, missing in names.items():
        if len(missing) <= _EACH_BY_ITSELF:
            told += [f"{which}, {name}: {why}" for name in missing]
        else:
            told.append(f"{which}, {missing[0]} and {len(missing) - 1} more: {why}")
    return told


def is_ordinary(sync: Sync) -> bool:
    """Whether sound and picture agree, so that there is nothing to tell."""
    agree = sync.last_with_ns is not None and not sync.picture_minus_sound_ns
    return sync.source is SyncSource.SOUND and agree


def plain(found: Comparison) -> dict[str, Plain]:
    """The comparison as JSON values, without the whole of both swings."""
    whole = to_plain(found)
    assert isinstance(whole, dict)
    return {**whole, "now": _short(found.now), "then": _short(found.then)}


def _short(swing: Swing) -> dict[str, Plain]:
    return {
        "id": swing.id,
        "struck_at": swing.facts.struck_at.isoformat(),
        "club": swing.book.club,
        "kind": str(swing.book.kind),
        "starred": swing.book.starred,
        "syncs": to_plain(swing.book.syncs),
    }
