"""Words on the line of time never touch and stay in order."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.drawing.bench_bar import (
    BarMoment,
    BarState,
    aside_place,
    bar_height_px,
    bar_place,
    paint_bar,
    placed_words,
    two_lines,
)
from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.rect import Rect
from capturestation.records import Moment

MS = 1_000_000
INK = BenchInk()
ALL_MS = (-1500, -900, -700, -450, -260, -120, -45, 0, 35, 60, 600)


def state(at_ms: int = 0, chosen: Moment | None = None) -> BarState:
    moments = tuple(
        BarMoment(moment=m, at_ns=ms * MS, early_ns=ms * MS, late_ns=ms * MS, by_hand=True)
        for m, ms in zip(Moment, ALL_MS, strict=True)
    )
    return BarState(
        start_ns=-2000 * MS,
        stop_ns=1000 * MS,
        at_ns=at_ms * MS,
        words="impact",
        moments=moments,
        chosen=chosen,
    )


def rect(width: int) -> Rect:
    return Rect(left=0, top=0, width=width, height=bar_height_px(INK))


def test_all_moments_that_lie_apart_find_room_on_a_usual_screen(qtbot: QtBot) -> None:
    apart = replace(
        state(),
        moments=tuple(
            replace(moment, at_ns=(250 * n - 1900) * MS) for n, moment in enumerate(state().moments)
        ),
    )
    words = placed_words(bar_place(rect(1240), apart, INK), apart, INK)

    assert [word.moment.moment for word in words] == list(Moment)


def test_where_there_is_little_room_the_known_ones_and_the_nearest_stay(qtbot: QtBot) -> None:
    shown = state(at_ms=-450)
    words = placed_words(bar_place(rect(420), shown, INK), shown, INK)

    moments = [word.moment.moment for word in words]
    assert Moment.IMPACT in moments
    assert len(moments) < len(Moment)
    assert all(b.rect.left - a.rect.right >= 1 for a, b in itertools.pairwise(words))


@pytest.mark.parametrize("width", [880, 1000, 1240, 2000])
@pytest.mark.parametrize("at_ms", [-700, 0, 600])
def test_a_word_stands_near_its_mark_or_only_the_known_ones_are_left(
    qtbot: QtBot, width: int, at_ms: int
) -> None:
    shown, known = state(at_ms=at_ms), {Moment.SET, Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT}
    place = bar_place(rect(width), shown, INK)
    words = placed_words(place, shown, INK)

    assert known <= {word.moment.moment for word in words}
    for word in words:
        mark = place.column(word.moment.at_ns)
        reach = 3.5 * INK.note_px + 1
        assert word.rect.left - reach <= mark <= word.rect.right + reach


def test_the_chosen_moment_keeps_its_word(qtbot: QtBot) -> None:
    shown = state(at_ms=600, chosen=Moment.LEAD_ARM_LEVEL_BACK)
    words = placed_words(bar_place(rect(300), shown, INK), shown, INK)

    assert Moment.LEAD_ARM_LEVEL_BACK in [word.moment.moment for word in words]


@given(st.integers(-2000, 1000))
def test_a_column_leads_back_to_its_time(at_ms: int) -> None:
    place = bar_place(rect(1240), state(), INK)

    back = place.at_ns(place.column(at_ms * MS))

    assert abs(back - at_ms * MS) <= 2 * MS


def test_times_beyond_the_ends_stay_on_the_line() -> None:
    place = bar_place(rect(1240), state(), INK)

    assert place.column(-9000 * MS) == place.line.left
    assert place.at_ns(99_999) == 1000 * MS


@pytest.mark.parametrize("moment", list(Moment))
def test_two_lines_say_the_whole_name(moment: Moment) -> None:
    assert " ".join(two_lines(str(moment))) == str(moment)


def test_the_bar_is_painted_up_to_where_we_are(qtbot: QtBot) -> None:
    image = QImage(1240, bar_height_px(INK), QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    paint_bar(painter, rect(1240), state(at_ms=0), INK)
    painter.end()
    place = bar_place(rect(1240), state(), INK)
    row = place.line.top + place.line.height // 2

    passed, ahead = (image.pixelColor(round(place.column(ms * MS)), row) for ms in (-1000, 800))

    assert (passed.red(), passed.green(), passed.blue()) == INK.now
    assert (ahead.red(), ahead.green(), ahead.blue()) == INK.edge


@pytest.mark.parametrize(("left", "end"), [(100, "right"), (900, "left")])
def test_small_words_stand_where_the_time_s_words_leave_room(
    qtbot: QtBot, left: int, end: str
) -> None:
    place = bar_place(rect(1000), state(), INK)
    time = replace(place.time, left=left, width=95)
    found = aside_place(place, time, "views 4.8 ms apart", INK)

    assert found is not None
    assert found.right <= time.left or found.left >= time.right
    assert (found.right == place.time.right) is (end == "right")


def test_small_words_make_way_where_there_is_no_room(qtbot: QtBot) -> None:
    place = bar_place(rect(320), state(), INK)

    assert aside_place(place, replace(place.time, left=40, width=240), "views apart", INK) is None
    assert aside_place(place, replace(place.time, width=10), "", INK) is None
