"""Captions fit above their pictures: nothing is cut short while there is another way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PyQt6.QtGui import QImage, QPainter
from PyQt6.QtWidgets import QApplication

from capturestation.drawing.bench_captions import (
    CaptionPlace,
    FieldWords,
    caption_ways,
    paint_caption,
    written_alike,
)
from capturestation.drawing.bench_ink import BenchInk, Style, metrics_of, write
from capturestation.drawing.grid import Side
from capturestation.drawing.rect import Rect
from capturestation.records import FrameArray

INK = BenchInk()
PX, UNIT = 19, 19 / 26.7
TIME = (Side.NOW, "0.003 s after impact", "+0.003 s")
TODAY = FieldWords(whose="today", day="30 Oct 2026", view="down-the-line", times=(TIME,))
BOTH = FieldWords(
    whose="today",
    day="30 Oct 2026",
    view="down-the-line",
    over="own best, 18 Sep 2026",
    times=(TIME, (Side.THEN, "0.004 s after impact", "+0.004 s")),
)


@pytest.fixture(autouse=True)
def _application(qapp: QApplication) -> None:
    """Letters need it."""


def needs_px(words: FieldWords, *, with_days: bool) -> list[float]:
    return [need * UNIT for _, _, need in caption_ways([words], PX, UNIT, with_days=with_days)]


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is written, cut short or not."""
    found: list[str] = []

    def listening(painter: QPainter, rect: Rect, words: str, style: Style) -> int:
        fits = metrics_of(style.px, bold=style.bold).horizontalAdvance(words) <= rect.width
        found.append(words if fits else f"{words} is cut")
        return write(painter, rect, words, style)

    monkeypatch.setattr("capturestation.drawing.bench_captions.write", listening)
    return found


def painted(words: FieldWords, width: int, lines: int) -> FrameArray:
    at = CaptionPlace(rect=Rect(left=0, top=0, width=width, height=26 * lines), lines=lines, px=PX)
    (at,) = written_alike([(at, words)])
    sheet = QImage(width, 26 * lines, QImage.Format.Format_RGB888)
    sheet.fill(0xFFFFFF)
    painter = QPainter(sheet)
    paint_caption(painter, at, Side.NOW, words, INK)
    painter.end()
    bits = sheet.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asstring(sheet.sizeInBytes()), np.uint8)
    return rows.reshape(26 * lines, sheet.bytesPerLine())[:, : 3 * width].reshape(-1, width, 3)


@pytest.mark.parametrize("words", [TODAY, BOTH])
@pytest.mark.parametrize("with_days", [True, False])
@pytest.mark.parametrize("lines", [1, 2])
def test_where_it_is_said_to_fit_nothing_is_cut(
    words: FieldWords, with_days: bool, lines: int, written: list[str]
) -> None:
    width = int(needs_px(words, with_days=with_days)[lines - 1]) + 2

    painted(words, width, lines)

    assert written
    assert not [text for text in written if text.endswith("is cut")]
    assert ("today, 30 Oct 2026" in written) >= with_days


def test_fewer_lines_need_more_room_and_days_need_more_too() -> None:
    for words in (TODAY, BOTH):
        dated, short = (needs_px(words, with_days=days) for days in (True, False))

        assert dated[0] > dated[1] > dated[2] == short[2] == 0
        assert short[0] < dated[0]


def test_a_wide_picture_says_its_time_in_words(written: list[str]) -> None:
    painted(TODAY, 900, 1)

    assert written == ["0.003 s after impact", "today, 30 Oct 2026", "down-the-line"]


def test_all_pictures_say_their_times_alike() -> None:
    wide = CaptionPlace(rect=Rect(left=0, top=0, width=900, height=52), lines=2, px=PX)
    narrow = CaptionPlace(rect=Rect(left=0, top=0, width=194, height=52), lines=2, px=PX)

    alone = written_alike([(wide, TODAY)])
    together = written_alike([(wide, TODAY), (narrow, TODAY)])

    assert [(at.time_line, at.is_long) for at in alone] == [(1, True)]
    assert [(at.time_line, at.is_long) for at in together] == [(0, False)] * 2


def test_the_day_goes_before_the_name_is_cut(written: list[str]) -> None:
    painted(TODAY, 194, 2)

    assert written == ["+0.003 s", "today", "down-the-line"]


def test_each_name_stands_above_its_half_of_the_rule(written: list[str]) -> None:
    shown = painted(BOTH, 600, 2)

    rule = shown[-2]
    assert (tuple(rule[5]), tuple(rule[595])) == (INK.now, INK.then)
    assert {"today, 30 Oct 2026", "own best, 18 Sep 2026"} <= set(written)
    assert (shown[:-5, 300:312] == 255).all()


@pytest.mark.parametrize(("width", "view"), [(170, "down-the-line"), (150, "")])
def test_three_lines_fit_where_little_does(width: int, view: str, written: list[str]) -> None:
    painted(replace(TODAY, view=view), width, 3)

    assert written == ["+0.003 s", "today", "30 Oct 2026", *([view] if view else [])]
