"""What is asked of many swings gives what reading them all would give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.compare.pairing import own_best
from capturestation.errors import ComparisonRefusedError
from capturestation.library import Library
from capturestation.records import LessonId, Swing
from tests.helpers.made_swings import made_swing
from tests.helpers.random_library import Grown, grow


@pytest.fixture
def grown(library: Library, originals: Path, unflushed: None) -> Grown:
    """Three students with sixty swings of all kinds and clubs."""
    return grow(library, originals, 7, students=3, swings=60)


def chosen(now: Swing, among: Sequence[Swing]) -> str:
    """The id and label of the own best, or the words of the refusal."""
    try:
        choice = own_best(now, among)
    except ComparisonRefusedError as error:
        return str(error)
    return f"{choice.swing.id} {choice.label}"


def test_the_choice_among_a_few_is_the_choice_among_all(library: Library, grown: Grown) -> None:
    of_all = [chosen(s, library.swings_of(s.book.student_id)) for s in grown.swings]
    of_few = [chosen(s, library.may_stand_beside(s)) for s in grown.swings]

    assert of_few == of_all
    assert {words.split()[-1] for words in of_all} >= {"best", "today"}
    assert any("Star one" in words for words in of_all)


def test_only_what_is_alike_may_stand_beside(library: Library, grown: Grown) -> None:
    for now in grown.swings:
        few = library.may_stand_beside(now)

        assert {s.book.student_id for s in few} == {now.book.student_id}
        assert {(s.book.kind, s.club_group) for s in few} == {(now.book.kind, now.club_group)}
        assert all(s.book.starred or s.book.lesson_id == now.book.lesson_id for s in few)


def test_the_own_values_are_those_of_all_swings_alike(library: Library, grown: Grown) -> None:
    for now in grown.swings:
        alike = [
            result.measured.value
            for swing in library.swings_of(now.book.student_id)
            for result in swing.book.results
            if (swing.book.kind, swing.club_group) == (now.book.kind, now.club_group)
            and result.measured is not None
        ]

        assert library.own_values(now) == {"tempo": tuple(alike)}


def test_the_own_values_do_not_mix_unknown_clubs(library: Library, grown: Grown) -> None:
    sticks = [s for s in grown.swings if s.book.club == "stick"]
    now = max(sticks, key=lambda s: len(library.own_values(s)["tempo"]))
    alike = library.own_values(now)["tempo"]

    library.save_book(replace(now.book, club="rope"))
    rope = library.swing(now.id)

    assert len(library.own_values(rope)["tempo"]) == 1
    assert len(alike) > 1


def test_the_latest_swing_is_the_one_struck_last(library: Library, grown: Grown) -> None:
    by_id = sorted(grown.swings, key=lambda s: s.id)
    newest = sorted(by_id, key=lambda s: s.facts.struck_at, reverse=True)
    assert library.latest_swing() == newest[0]
    assert library.newest_swings(3) == tuple(newest[:3])


def test_lessons_are_counted_without_reading_their_swings(library: Library, grown: Grown) -> None:
    asked = [*(lesson.id for lesson in grown.lessons), LessonId("none")]

    counts = library.swing_counts(asked)

    assert counts == {key: len(library.swings(key)) for key in asked}
    assert sum(counts.values()) == len(grown.swings)


def test_an_empty_library_answers_too(library: Library) -> None:
    now = made_swing("a")

    assert library.latest_swing() is None
    assert library.may_stand_beside(now) == ()
    assert library.own_values(now) == {}
    assert library.swing_counts([]) == {}
