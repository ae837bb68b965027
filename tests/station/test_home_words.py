"""What the page says of changes, of what lacks, and of what to mind."""

from __future__ import annotations

from dataclasses import replace

from capturestation.compare.timemap import TimeMap
from capturestation.records import Measured, Moment, Result, Swing
from capturestation.station import home_words as words
from capturestation.station.comparing import ChangeRow, Comparison
from tests.helpers.made_swings import made_swing

NOTE = "The player's own spread is not known: it takes 5 other swings like these, and 2 are."


def changed(name: str, difference: float, *, is_clear: bool, note: str = "") -> ChangeRow:
    one = Measured(value=0.0, unit="deg", u_random=1.0)
    told = f"more by {difference:.0f} deg ± 2 deg" if is_clear else "no clear change"
    return ChangeRow(
        name=name,
        now=one,
        then=one,
        difference=difference,
        u=1.0,
        is_clear=is_clear,
        words=told,
        note=note,
    )


def compared(*rows: ChangeRow) -> Comparison:
    return Comparison(
        now=made_swing("now", day=9),
        then=made_swing("then", starred=True),
        label="own best",
        why="",
        time_map=TimeMap(knots_now_ns=(0,), knots_then_ns=(0,), moments=(Moment.IMPACT,)),
        rows=(),
        changes=rows,
        said=(),
    )


def test_only_clear_changes_are_told_the_surest_first_and_the_rest_is_counted() -> None:
    found = compared(
        changed("pelvis turn, top", 3, is_clear=True),
        changed("side tilt, top", 1, is_clear=False),
        changed("chest turn, impact", -9, is_clear=True),
    )

    told = words.changes_passage(found)

    assert told.heading == "What changed since 18 Sep 2026 (own best)"
    assert told.lines == (
        "Chest turn at impact: more by -9 ± 2°.",
        "Pelvis turn at the top: more by 3 ± 2°.",
        "No clear change in 1 other measure.",
    )


def test_no_clear_change_is_said_as_such_and_an_unknown_spread_too() -> None:
    told = words.changes_passage(
        compared(changed("side tilt, top", 1, is_clear=False, note=NOTE))
    ).lines

    assert told == (
        "Nothing changed by more than measuring errors and your own spread.",
        words.SPREAD_WORDS,
    )


def test_where_nothing_was_measured_nothing_is_said_to_be_unchanged() -> None:
    told = words.changes_passage(compared()).lines

    assert told == ("Nothing was measured in both swings, so nothing is said about changes.",)


def test_many_changes_are_cut_to_the_surest() -> None:
    rows = [changed(f"measure {n}, top", n + 3, is_clear=True) for n in range(12)]

    told = words.changes_passage(compared(*rows)).lines

    assert len(told) == 9
    assert told[0].startswith("Measure 11 at the top")
    assert told[-1] == "And 4 more, less sure."


def test_moments_with_clear_changes_come_surest_first_and_each_once() -> None:
    found = compared(
        changed("pelvis turn, top", 3, is_clear=True),
        changed("chest turn, lead arm level, down", 8, is_clear=True),
        changed("side tilt, top", 4, is_clear=True),
        changed("side tilt, finish", 40, is_clear=False),
        changed("time back", 9, is_clear=True),
    )

    assert words.changed_at(found) == [Moment.LEAD_ARM_LEVEL_DOWN, Moment.TOP]
    assert words.changed_at(None) == []


def lacking(*names: str, why: str = "The body is hidden.") -> Swing:
    swing = made_swing("now")
    results = tuple(Result(name=name, why_missing=why) for name in names)
    return replace(swing, book=replace(swing.book, results=results))


def test_what_lacks_one_reason_is_told_in_one_sentence() -> None:
    passage = words.missing_passage(lacking("a, top", "b, top", "c, top", "d, top", "e, top"))

    assert passage is not None
    assert passage.lines == (
        "A at the top, b at the top, c at the top and 2 more: The body is hidden.",
    )


def test_a_swing_without_measures_says_so_and_a_whole_one_says_nothing() -> None:
    bare = words.missing_passage(made_swing("now"))
    whole = made_swing("now")
    one = Result(name="time back", measured=Measured(value=1.0, unit="s", u_random=0.1))

    assert bare is not None
    assert bare.lines == ("No measures were taken of today's swing.",)
    assert words.missing_passage(replace(whole, book=replace(whole.book, results=(one,)))) is None


def test_of_a_child_one_caution_more_is_given() -> None:
    grown_up = words.cautions_passage(is_child=False).lines
    child = words.cautions_passage(is_child=True).lines

    assert child == (*grown_up, words.CHILD_CAUTION)
    assert any("Pain" in line for line in grown_up)
