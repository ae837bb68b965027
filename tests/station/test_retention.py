"""Who is proposed to be forgotten: nobody with a lesson lately; asking changes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from capturestation.library import Library
from capturestation.records import Consent, Giver, Purpose
from capturestation.station import people
from capturestation.station.retention import Reason, Wish, months_before, proposals, waiting
from tests.helpers.station_library import NAME, Filled, everything_in


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    """One student with a lesson and swings of 30 October 2026."""
    with Library.open(filled.folder) as opened:
        yield opened


def test_only_who_was_away_for_as_long_is_proposed_with_what_is_held(library: Library) -> None:
    soon = proposals(library, Wish(months=12), on=date(2027, 10, 30))
    [late] = proposals(library, Wish(months=12), on=date(2027, 10, 31))

    assert soon == ()
    assert (late.name, late.last) == (NAME, date(2026, 10, 30))
    assert late.reason is Reason.AWAY
    assert (late.held.swings, late.held.lessons) == (2, 1)


def test_a_later_lesson_without_swings_counts(library: Library) -> None:
    people.add_lesson(library, NAME, on=date(2027, 6, 1))

    assert proposals(library, Wish(months=12), on=date(2028, 6, 1)) == ()
    assert len(proposals(library, Wish(months=12), on=date(2028, 6, 2))) == 1


def test_who_was_longest_away_comes_first_and_a_mere_name_last(library: Library) -> None:
    people.add_student(library, name="Bo Berg", birth_year=1970)
    earlier = people.add_student(library, name="Ada Au", birth_year=1971)
    people.add_lesson(library, earlier.id, on=date(2020, 1, 1))

    found = proposals(library, Wish(months=1), on=date(2030, 1, 1))

    assert [one.name for one in found] == ["Ada Au", NAME, "Bo Berg"]
    assert found[-1].last is None


def test_whoever_said_no_to_filming_is_proposed_at_once_and_first(library: Library) -> None:
    people.add_student(library, name="Bo Berg", birth_year=1970)
    no = Consent(
        purpose=Purpose.COACHING, giver=Giver.STUDENT, given=False, on=date(2026, 10, 31), by="me"
    )
    people.answer_consent(library, NAME, no)

    found = proposals(library, Wish(months=600), on=date(2026, 11, 30))

    assert [(one.name, one.reason) for one in found] == [
        (NAME, Reason.REFUSED),
        ("Bo Berg", Reason.AWAY),
    ]
    assert found[0].held.swings == 2


def test_whoever_is_to_be_kept_is_proposed_again_after_a_year(library: Library) -> None:
    [student] = library.students()
    wish = Wish(months=1, kept={student.id: date(2029, 5, 31)})

    before = waiting(library, wish, date(2030, 5, 30)), proposals(library, wish, date(2030, 5, 30))

    assert before == ((), ())
    assert waiting(library, wish, date(2030, 5, 31)) == (student.id,)
    assert len(proposals(library, wish, date(2030, 5, 31))) == 1


def test_asking_changes_nothing(library: Library) -> None:
    before = everything_in(library.folder)

    proposals(library, Wish(months=1), on=date(2030, 1, 1))

    assert everything_in(library.folder) == before
    assert len(library.students()) == 1


@pytest.mark.parametrize(
    ("day", "months", "earlier"),
    [
        (date(2026, 12, 31), 1, date(2026, 11, 30)),
        (date(2024, 2, 29), 12, date(2023, 2, 28)),
        (date(2026, 1, 1), 1, date(2025, 12, 1)),
        (date(2026, 5, 31), 3, date(2026, 2, 28)),
        (date(2026, 5, 17), 0, date(2026, 5, 17)),
    ],
)
def test_months_are_those_of_the_calendar(day: date, months: int, earlier: date) -> None:
    assert months_before(day, months) == earlier
