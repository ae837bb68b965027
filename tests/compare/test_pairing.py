from __future__ import annotations

import pytest

from capturestation.compare.pairing import own_best, refuse_unless_comparable
from capturestation.errors import ComparisonRefusedError
from capturestation.records import SwingKind
from tests.helpers.made_swings import made_swing


def test_two_full_swings_with_clubs_of_one_group_may_be_compared() -> None:
    refuse_unless_comparable(made_swing("now", club="7 iron"), made_swing("then", club="8i"))


def test_two_students_are_refused() -> None:
    with pytest.raises(ComparisonRefusedError, match="two different students") as caught:
        refuse_unless_comparable(made_swing("now"), made_swing("then", student="student-b"))

    assert "himself" in caught.value.try_next


def test_two_kinds_are_refused_with_both_named() -> None:
    pitch = made_swing("then", kind=SwingKind.PITCH)

    with pytest.raises(ComparisonRefusedError, match=r"kind: full and pitch"):
        refuse_unless_comparable(made_swing("now"), pitch)


def test_two_club_groups_are_refused_with_both_named() -> None:
    with pytest.raises(ComparisonRefusedError, match=r"7 iron \(iron\) and driver \(driver\)"):
        refuse_unless_comparable(made_swing("now"), made_swing("then", club="driver"))


def test_clubs_of_no_known_group_must_have_one_name() -> None:
    refuse_unless_comparable(made_swing("a", club="Stick"), made_swing("b", club="stick "))

    with pytest.raises(ComparisonRefusedError, match="club group"):
        refuse_unless_comparable(made_swing("a", club="stick"), made_swing("b", club="rope"))


def test_a_swing_is_not_compared_with_itself() -> None:
    with pytest.raises(ComparisonRefusedError, match="itself"):
        refuse_unless_comparable(made_swing("now"), made_swing("now"))


def test_the_latest_star_of_the_same_kind_and_club_group_is_the_own_best() -> None:
    now = made_swing("now", day=9, starred=True)
    others = [
        made_swing("latest", day=7, starred=True),
        made_swing("older", day=1, starred=True),
        made_swing("other-club", day=8, starred=True, club="driver"),
        made_swing("other-kind", day=8, starred=True, kind=SwingKind.PART),
        made_swing("other-student", day=8, starred=True, student="student-b"),
        made_swing("no-star", day=8),
        now,
    ]

    choice = own_best(now, others)

    assert choice.swing.id == "latest"
    assert choice.label == "own best"
    assert choice.why == "The latest starred full swing, iron."


def test_without_a_star_the_first_of_the_same_lesson_is_chosen_and_says_so() -> None:
    now = made_swing("now", day=9.5)
    others = [
        made_swing("second", day=9.2),
        made_swing("first", day=9.1),
        made_swing("old-lesson", day=1, lesson="lesson-0"),
        made_swing("later", day=9.9),
    ]

    choice = own_best(now, others)

    assert choice.swing.id == "first"
    assert choice.label == "first of today"
    assert "No starred" in choice.why


def test_where_todays_own_star_is_the_only_one_no_other_is_said() -> None:
    now = made_swing("now", day=9, starred=True)

    choice = own_best(now, [now, made_swing("first", day=8)])

    assert choice.swing.id == "first"
    assert choice.why.startswith("No other starred full swing, iron yet")
    with pytest.raises(ComparisonRefusedError, match="No other best of this club and kind"):
        own_best(now, [now])


def test_with_nothing_to_stand_beside_the_way_out_is_named() -> None:
    now = made_swing("now", day=9)

    with pytest.raises(ComparisonRefusedError, match="No best of this club") as caught:
        own_best(now, [now, made_swing("later", day=10)])

    assert caught.value.try_next.startswith("Star one")


def test_what_is_said_names_no_id_and_the_subject_does() -> None:
    now = made_swing("tf2nfv7dn4ef")
    unlike = [
        made_swing("8q3k7w2m5x1z", club="driver"),
        made_swing("8q3k7w2m5x1z", kind=SwingKind.PITCH),
        made_swing("8q3k7w2m5x1z", student="other"),
        now,
    ]
    told: list[ComparisonRefusedError] = []
    for then in unlike:
        with pytest.raises(ComparisonRefusedError) as caught:
            refuse_unless_comparable(now, then)
        told.append(caught.value)
    with pytest.raises(ComparisonRefusedError) as caught:
        own_best(now, [])
    told.append(caught.value)

    assert not any(swing.id in str(error) for error in told for swing in unlike)
    assert all(error.subject in {swing.id for swing in unlike} for error in told)
    assert len(told[-1].what) < 50
