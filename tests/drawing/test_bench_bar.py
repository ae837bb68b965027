"""Words on the line of time never touch and stay in order."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.drawing.bench_bar import (
    BarMoment,
    BarState,
    bar_height_px,
    bar_place,
    paint_bar,
    placed_words,
    spread,
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


@given(
    st.lists(st.tuples(st.floats(0, 1000), st.integers(1, 60)), min_size=1, max_size=11),
    st.integers(0, 12),
)
def test_boxes_keep_their_order_and_never_touch(boxes: list[tuple[float, int]], gap: int) -> None:
    boxes.sort()
    middles, widths = [m for m, _ in boxes], [w for _, w in boxes]
    room = sum(widths) + gap * (len(widths) - 1)

    lefts = spread(middles, widths, gap, (0, max(1000, room)))

    ends = [left + width for left, width in zip(lefts, widths, strict=True)]
    assert lefts[0] >= -1e-6
    assert ends[-1] <= max(1000, room) + 1e-6
    for (_, end), (left, _) in itertools.pairwise(zip(lefts, ends, strict=True)):
        assert left - end >= gap - 1e-6


def test_boxes_with_room_stand_where_they_want() -> None:
    assert spread([100, 300], [20, 40], 10, (0, 1000)) == [90, 280]


def test_two_that_want_one_place_share_it() -> None:
    assert spread([100, 100], [20, 20], 10, (0, 1000)) == [75, 105]


def test_all_moments_find_room_on_a_usual_screen(qtbot: QtBot) -> None:
    words = placed_words(bar_place(rect(1240), state(), INK), state(), INK)

    assert [word.moment.moment for word in words] == list(Moment)


def test_where_there_is_little_room_the_known_ones_and_the_nearest_stay(qtbot: QtBot) -> None:
    shown = state(at_ms=-450)
    words = placed_words(bar_place(rect(420), shown, INK), shown, INK)

    moments = [word.moment.moment for word in words]
    assert Moment.IMPACT in moments
    assert len(moments) < len(Moment)
    assert all(b.rect.left - a.rect.right >= 1 for a, b in itertools.pairwise(words))


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
