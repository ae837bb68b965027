"""Two sides of paper for the way home: pictures where they belong, words that never run over."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from PyQt6.QtWidgets import QApplication

from capturestation.compare.weeks import Taken, course
from capturestation.drawing.home_page import (
    HomePage,
    Passage,
    Still,
    StillBlock,
    StillRow,
    WeeksDrawn,
)
from capturestation.drawing.home_sides import MARGIN_MM, home_pdf
from capturestation.drawing.theme import VERMILLION
from capturestation.records import LessonId, Measured, SwingId
from tests.helpers.pdf_pages import DOTS_PER_MM, sides_of

A4, LETTER = (210.0, 297.0), (215.9, 279.4)
RED, GREEN, BLUE = (200, 30, 30), (30, 160, 40), (30, 40, 190)


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def still(colour: tuple[int, int, int], size: tuple[int, int] = (60, 80)) -> Still:
    width, height = size
    return Still(pixels=np.full((height, width, 3), colour, np.uint8))


def row(*stills: Still, is_now: bool = True) -> StillRow:
    return StillRow(caption="today · 30 Oct 2026 · face-on", is_now=is_now, stills=stills)


PAGE = HomePage(
    title="7 iron",
    day="30 Oct 2026",
    whose="Zoë Ångström",
    work=(Passage(heading="To work on", lines=("Turn, then swing",)),),
    blocks=(
        StillBlock(
            moments=("top", "impact"),
            rows=(row(still(RED), still(GREEN), is_now=False), row(still(BLUE), Still())),
        ),
    ),
    under="The same moment of each swing.",
    words=(
        Passage(heading="What changed", lines=("Pelvis turn: more open by 9 ± 5°.",)),
        Passage(heading="Please mind", lines=("Pain is a reason to stop.",), small=True),
    ),
)


@pytest.mark.parametrize("size_mm", [A4, LETTER])
def test_it_has_two_sides_of_that_paper(size_mm: tuple[float, float]) -> None:
    sides = sides_of(home_pdf(PAGE, size_mm))

    assert len(sides) == 2
    for side in sides:
        assert side.size_mm == pytest.approx(size_mm, abs=0.4)


def test_the_first_side_says_what_to_work_on_and_the_second_what_changed() -> None:
    first, second = sides_of(home_pdf(PAGE, A4))

    for told in ("7 iron", "Zoë Ångström", "30 Oct 2026", "To work on", "Turn, then swing"):
        assert told in first.words
    assert "top" in first.words
    assert "more open by 9 ± 5°." in second.words
    assert "Pain is a reason to stop." in second.words


def test_a_chart_over_the_weeks_stands_on_the_second_side_and_makes_no_third() -> None:
    taken = [
        (LessonId(f"l{n}"), date(2026, 9, 1 + 9 * n), [
            Taken(
                swing=SwingId("s"),
                measured=Measured(value=40.0 + 6 * n, unit="deg", u_random=1.0),
                is_best=n == 1,
            )
        ])
        for n in range(3)
    ]  # fmt: skip
    weeks = WeeksDrawn(
        heading="Over the weeks: pelvis turn",
        course=course("pelvis turn, top", taken),
        lines=("Since the first lesson: more closed by 12 ± 3°.",),
    )
    many = tuple(f"Sentence {n} about something that changed." for n in range(60))
    full = replace(PAGE, weeks=weeks, words=(Passage(heading="What changed", lines=many),))

    first, second = sides_of(home_pdf(full, LETTER))

    assert "Over the weeks: pelvis turn" in second.words
    assert "more closed by 12 ± 3°." in second.words
    assert "19 Sep 2026" in second.words
    assert "Over the weeks" not in first.words
    star = np.abs(second.rgb.astype(int) - VERMILLION).sum(axis=2) < 60
    assert star.sum() > 20


def test_pictures_of_one_moment_stand_below_each_other() -> None:
    first, _ = sides_of(home_pdf(PAGE, A4))

    places = {}
    for name, colour in (("red", RED), ("green", GREEN), ("blue", BLUE)):
        near = np.abs(first.rgb.astype(int) - colour).sum(axis=2) < 40
        rows, columns = np.nonzero(near)
        places[name] = (columns.mean(), rows.mean(), np.ptp(columns) / np.ptp(rows))
    assert places["red"][0] == pytest.approx(places["blue"][0], abs=2)
    assert places["green"][0] > places["red"][0] + 50
    assert places["green"][1] == pytest.approx(places["red"][1], abs=2)
    assert places["blue"][1] > places["red"][1] + 50
    assert all(place[2] == pytest.approx(60 / 80, abs=0.03) for place in places.values())


def test_a_picture_that_is_not_there_says_why() -> None:
    gone = Still(missing="not recorded")
    page = replace(PAGE, blocks=(StillBlock(moments=("top", "impact"), rows=(row(gone, gone),)),))

    first, _ = sides_of(home_pdf(page, A4))

    assert first.words.count("not recorded") == 2


def margins_are_white(rgb: np.ndarray[tuple[int, ...], np.dtype[np.uint8]]) -> bool:
    edge = round((MARGIN_MM - 1.5) * DOTS_PER_MM)
    border = (rgb[:edge], rgb[-edge:], rgb[:, :edge], rgb[:, -edge:])
    return all(bool((part > 250).all()) for part in border)


def test_words_that_are_too_many_are_left_out_with_their_number_and_no_third_side_comes() -> None:
    many = Passage(heading="What changed", lines=tuple(f"Measure {n}: more." for n in range(150)))
    long = Passage(heading="Note", lines=("a word " * 60,) * 3)

    sides = sides_of(home_pdf(replace(PAGE, words=(long, many, *PAGE.words[1:])), A4))

    assert len(sides) == 2
    assert "Measure 0: more." in sides[1].words
    assert "Measure 149: more." not in sides[1].words
    told = sides[1].words.partition("And ")[2].split(" more.")[0]
    assert int(told) + sides[1].words.count("Measure ") == 150
    assert "Pain is a reason to stop." in sides[1].words
    assert margins_are_white(sides[1].rgb)


def test_nothing_stands_in_the_margins_however_much_is_to_work_on() -> None:
    work = (Passage(heading="To work on", lines=("turn and turn again " * 16,) * 2),)
    rows = tuple(row(*[still(RED, (90, 60))] * 5) for _ in range(4))
    block = StillBlock(moments=("lead arm level, down",) * 5, rows=rows)

    for size_mm in (A4, LETTER):
        first, _ = sides_of(home_pdf(replace(PAGE, work=work, blocks=(block,)), size_mm))

        assert margins_are_white(first.rgb)


def test_the_file_names_no_program_but_this_one_and_no_person() -> None:
    made = home_pdf(replace(PAGE, whose=""), A4)

    assert b"ngstr" not in made
    assert b"/Title" in made
