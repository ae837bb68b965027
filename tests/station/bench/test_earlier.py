"""Which swings are offered to stand beside today's."""

from __future__ import annotations

from dataclasses import replace

from capturestation.records import SwingKind
from capturestation.station.bench.earlier import may_stand_beside
from tests.helpers.made_swings import made_swing

NOW = made_swing("now", day=10)


def test_only_like_and_earlier_swings_are_offered_the_newest_first() -> None:
    others = [
        made_swing("old", day=1, lesson="lesson-b"),
        made_swing("later", day=11),
        made_swing("other-student", day=2, student="student-b"),
        made_swing("putt", day=2, kind=SwingKind.PUTT),
        made_swing("driver", day=2, club="driver"),
        made_swing("new", day=9, lesson="lesson-b"),
        NOW,
    ]

    assert [row.id for row in may_stand_beside(NOW, others)] == ["new", "old"]


def test_a_row_says_day_club_star_and_whether_it_is_of_this_lesson() -> None:
    best = made_swing("best", day=9.9, starred=True)
    other = replace(made_swing("other", day=1, lesson="lesson-b", club="8i"))

    first, second = may_stand_beside(NOW, [other, best])

    assert (first.day, first.is_best, first.is_of_today, first.word) == (
        "28 Sep 2026",
        True,
        True,
        "own best",
    )
    assert (second.club, second.is_best, second.is_of_today, second.word) == (
        "8i",
        False,
        False,
        "earlier",
    )
