"""The list of what has to work: read, written, and its three answers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from capturestation.records import ClubGroup, Measured, Result, SwingKind
from capturestation.swing.checks import (
    NO_HEIGHT,
    FunctionCheck,
    Verdict,
    answers,
    checks_from,
    checks_text,
    usual_checks,
)
from capturestation.swing.measures import MEASURES, full_name

SQUARE = FunctionCheck(name="square", measure="turn", low=-15.0, high=15.0)


def judged(value: float, u: float, check: FunctionCheck = SQUARE) -> Verdict:
    result = Result(
        name="turn", measured=Measured(value=value, unit="deg", u_random=u, u_systematic=0.0)
    )
    (answer,) = answers([check], [result], SwingKind.FULL, ClubGroup.IRON)
    return answer.verdict


@pytest.mark.parametrize(
    ("value", "u", "verdict"),
    [(0.0, 5.0, Verdict.WORKS), (30.0, 5.0, Verdict.NOT_YET), (12.0, 5.0, Verdict.CANNOT_TELL),
     (-30.0, 5.0, Verdict.NOT_YET), (0.0, 20.0, Verdict.CANNOT_TELL)],
)  # fmt: skip
def test_only_what_its_error_allows_is_judged(value: float, u: float, verdict: Verdict) -> None:
    assert judged(value, u) is verdict


def test_one_sided_limits_reach_to_the_end_of_the_world() -> None:
    assert judged(-300.0, 5.0, replace(SQUARE, low=None)) is Verdict.WORKS
    assert judged(300.0, 5.0, replace(SQUARE, high=None)) is Verdict.WORKS


def test_what_is_missing_cannot_be_told_and_says_why() -> None:
    gone = Result(name="turn", why_missing="'impact' is not marked.")

    (known,) = answers([SQUARE], [gone], SwingKind.FULL, ClubGroup.IRON)
    (weight,) = answers([SQUARE], [], SwingKind.FULL, ClubGroup.IRON)

    assert (known.verdict, known.why) == (Verdict.CANNOT_TELL, "'impact' is not marked.")
    assert weight.why == "not measured."


def test_limits_of_a_length_are_shares_of_the_height_in_centimetres_too() -> None:
    slide = FunctionCheck(name="slide", measure="pelvis to the target, top", low=-6.0, high=6.0)
    moved, tall = (
        Result(name=name, measured=Measured(value=value, unit="cm", u_random=0.5))
        for name, value in (("pelvis to the target, top", 8.0), ("ankles to nose, set", 150.0))
    )

    (known,) = answers([slide], [moved, tall], SwingKind.FULL, ClubGroup.IRON)
    (unknown,) = answers([slide], [moved], SwingKind.FULL, ClubGroup.IRON)

    # 8 cm are 5.3 % of 150 cm.
    assert known.verdict is Verdict.WORKS
    assert (unknown.verdict, unknown.why) == (Verdict.CANNOT_TELL, NO_HEIGHT)


def test_a_check_is_asked_only_of_its_own_kinds_and_clubs_and_while_it_is_on() -> None:
    full = replace(SQUARE, kinds=(SwingKind.FULL,), clubs=(ClubGroup.IRON,))

    assert full.asks(SwingKind.FULL, ClubGroup.IRON)
    assert not full.asks(SwingKind.PITCH, ClubGroup.IRON)
    assert not full.asks(SwingKind.FULL, ClubGroup.DRIVER)
    assert not replace(full, on=False).asks(SwingKind.FULL, ClubGroup.IRON)


def test_the_list_comes_back_as_it_was_written() -> None:
    checks = (*usual_checks(), replace(SQUARE, on=False, clubs=(ClubGroup.WEDGE,)))

    assert checks_from(checks_text(checks)) == checks


def test_the_usual_list_asks_for_measures_that_are_there_or_says_not_measured() -> None:
    names = {full_name(measure, moment) for measure in MEASURES for moment in measure.moments}
    lacking = {one.measure for one in usual_checks()} - names

    assert lacking == {"finish held", "weight under the trail foot", "weight under the lead foot"}


@pytest.mark.parametrize("limits", [(None, None), (3.0, 1.0)])
def test_limits_must_make_sense(limits: tuple[float | None, float | None]) -> None:
    with pytest.raises(ValueError, match="limit"):
        FunctionCheck(name="x", measure="y", low=limits[0], high=limits[1])


def test_a_list_without_its_columns_is_refused() -> None:
    with pytest.raises(ValueError, match="columns"):
        checks_from("name,measure\na,b\n")
