"""What has to work in a swing, as a list that the coach edits, and what its measures say of it.

Owns the list's form and the three answers: works, not yet, cannot tell. Refuses a score, and
refuses to judge by a value whose error reaches over a limit. The limits are common practice in the
trade; no published source is known for them.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from importlib.resources import files
from math import hypot

from capturestation.records import ClubGroup, Measured, Moment, Result, SwingKind
from capturestation.swing.measures import TALL, full_name

COVERAGE = 2.0
NOT_MEASURED = "not measured"
NO_HEIGHT = "It was measured in cm, and the golfer's height at set was not."
_COLUMNS = ("name", "measure", "low", "high", "kinds", "clubs", "on")


class Verdict(StrEnum):
    """The only three answers."""

    WORKS = "works"
    NOT_YET = "not yet"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionCheck:
    """One thing that has to work.

    Args:
        name: In the coach's words.
        measure: Which measure tells, by its full name.
        low: The value is to be no lower; None for no limit.
        high: No higher.
        kinds: Kinds of swing that it is asked of; empty for all.
        clubs: Clubs, likewise.
        on: Whether it is asked at all.
    """

    name: str
    measure: str
    low: float | None = None
    high: float | None = None
    kinds: tuple[SwingKind, ...] = ()
    clubs: tuple[ClubGroup, ...] = ()
    on: bool = True

    def __post_init__(self) -> None:
        if self.low is None and self.high is None:
            msg = f"{self.name}: a check needs a limit"
            raise ValueError(msg)
        if self.low is not None and self.high is not None and self.low > self.high:
            msg = f"{self.name}: the lower limit {self.low} is over the higher {self.high}"
            raise ValueError(msg)

    def asks(self, kind: SwingKind, club: ClubGroup) -> bool:
        """Whether it is asked of such a swing."""
        fits = (not self.kinds or kind in self.kinds) and (not self.clubs or club in self.clubs)
        return self.on and fits


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckAnswer:
    """What the measures say of one check."""

    check: FunctionCheck
    verdict: Verdict
    why: str = ""


def usual_checks() -> tuple[FunctionCheck, ...]:
    """The list that a new library begins with."""
    held = files("capturestation.swing").joinpath("function_checks.csv")
    return checks_from(held.read_text("utf-8"))


def checks_from(text: str) -> tuple[FunctionCheck, ...]:
    """A list from its CSV.

    Raises:
        ValueError: If a column lacks or a value makes no sense; names the check.
    """
    rows = csv.DictReader(io.StringIO(text))
    if set(_COLUMNS) - set(rows.fieldnames or ()):
        msg = f"a list of checks needs the columns {', '.join(_COLUMNS)}"
        raise ValueError(msg)
    return tuple(_check(row) for row in rows)


def _check(row: dict[str, str]) -> FunctionCheck:
    return FunctionCheck(
        name=row["name"],
        measure=row["measure"],
        low=float(row["low"]) if row["low"] else None,
        high=float(row["high"]) if row["high"] else None,
        kinds=tuple(SwingKind(word) for word in row["kinds"].split()),
        clubs=tuple(ClubGroup(word) for word in row["clubs"].split()),
        on=row["on"] == "yes",
    )


def checks_text(checks: Sequence[FunctionCheck]) -> str:
    """The list as CSV; `checks_from` reads it back."""
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for one in checks:
        limits = ("" if limit is None else f"{limit:g}" for limit in (one.low, one.high))
        kinds, clubs = " ".join(one.kinds), " ".join(one.clubs)
        writer.writerow((one.name, one.measure, *limits, kinds, clubs, "yes" if one.on else "no"))
    return held.getvalue()


def answers(
    checks: Iterable[FunctionCheck], results: Iterable[Result], kind: SwingKind, club: ClubGroup
) -> tuple[CheckAnswer, ...]:
    """What a swing's results say of every check that is asked of such a swing."""
    known = {result.name: result for result in results}
    tall = known.get(full_name(TALL, Moment.SET))
    tall_cm = tall.measured.value if tall is not None and tall.measured is not None else None
    return tuple(
        _answer(check, known.get(check.measure), tall_cm)
        for check in checks
        if check.asks(kind, club)
    )


def _answer(check: FunctionCheck, result: Result | None, tall_cm: float | None) -> CheckAnswer:
    if result is None:
        return CheckAnswer(check=check, verdict=Verdict.CANNOT_TELL, why=f"{NOT_MEASURED}.")
    if result.measured is None:
        return CheckAnswer(check=check, verdict=Verdict.CANNOT_TELL, why=result.why_missing)
    measured = result.measured
    if measured.unit == "cm":
        # The list's limits of lengths are shares of the golfer's height, for any golfer.
        if tall_cm is None:
            return CheckAnswer(check=check, verdict=Verdict.CANNOT_TELL, why=NO_HEIGHT)
        measured = of_height(measured, tall_cm)
    return _judged(check, measured)


def of_height(measured: Measured, tall_cm: float) -> Measured:
    """A length in cm as a share of the golfer's height from ankles to nose."""
    share = 100.0 / tall_cm
    return replace(
        measured,
        value=measured.value * share,
        unit="% of height",
        u_random=measured.u_random * share,
        u_systematic=measured.u_systematic * share,
    )


def _judged(check: FunctionCheck, measured: Measured) -> CheckAnswer:
    reach = COVERAGE * hypot(measured.u_random, measured.u_systematic)
    lowest, highest = measured.value - reach, measured.value + reach
    low = float("-inf") if check.low is None else check.low
    high = float("inf") if check.high is None else check.high
    if low <= lowest and highest <= high:
        return CheckAnswer(check=check, verdict=Verdict.WORKS)
    if highest < low or lowest > high:
        return CheckAnswer(check=check, verdict=Verdict.NOT_YET)
    return CheckAnswer(
        check=check,
        verdict=Verdict.CANNOT_TELL,
        why=f"Its error, {reach:.0f} {measured.unit} either way, reaches over the limit.",
    )
