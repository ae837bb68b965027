"""Fields stand beside each other as large as they go; what is painted is what was made."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.drawing.bench_captions import FieldWords
from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.bench_layers import Layer, composed
from capturestation.drawing.bench_painter import (
    BenchField,
    FieldImage,
    FieldsAsked,
    bench_fields,
    image_of,
    paint_field,
    paint_picture,
)
from capturestation.drawing.bench_place import FieldPlace, Framing
from capturestation.drawing.grid import Cell, Rows, Side
from capturestation.drawing.rect import Rect
from capturestation.records import Box, FrameArray, View
from tests.helpers.coded_media import paint_code, read_code

INK = BenchInk()
FACE, LINE = View.FACE_ON, View.DOWN_THE_LINE
NOW: Cell = (Side.NOW, FACE)
TWO: list[Rows] = [(((Side.NOW, FACE), (Side.NOW, LINE)),)]

ONE: list[Rows] = [((NOW,),)]
WORDS = FieldWords(
    whose="today", day="30 Oct 2026", view="face-on", times=((Side.NOW, "impact", "0 s"),)
)


def area(width: int, height: int) -> Rect:
    return Rect(left=0, top=0, width=width, height=height)


def fields(
    rows: list[Rows],
    width: int,
    height: int,
    framing: Framing | None = None,
    boxes: dict[View, Box] | None = None,
) -> tuple[BenchField, ...]:
    cells = [cell for row in rows[0] for cell in row]
    asked = FieldsAsked(
        rows=rows,
        sizes=dict.fromkeys(cells, (1280, 720)),
        framings=dict.fromkeys(cells, framing) if framing else {},
        boxes=boxes or {},
        words=dict.fromkeys(cells, WORDS),
    )
    return bench_fields(asked, area(width, height), INK)


@pytest.mark.parametrize(
    ("width", "height"), [(1240, 380), (2500, 1000), (700, 300), (500, 900), (320, 160)]
)
def test_fields_lie_in_their_area_and_never_touch(width: int, height: int, qtbot: QtBot) -> None:
    found = fields(TWO, width, height)

    rects = [rect for f in found for rect in (f.caption.rect, f.place.rect)]
    assert len(found) == 2
    assert all(r.left >= 0 and r.top >= 0 for r in rects)
    assert all(r.right <= width and r.bottom <= height for r in rects)
    for a, b in itertools.combinations(rects, 2):
        apart = a.right <= b.left or b.right <= a.left or a.bottom <= b.top or b.bottom <= a.top
        assert apart, (a, b)


def test_no_area_is_too_small_to_survive(qtbot: QtBot) -> None:
    for width, height in itertools.product((0, 3, 40, 90), repeat=2):
        for field in fields(TWO, width, height):
            assert field.place.rect.width > 0
            assert field.place.rect.height > 0


def test_captions_give_way_before_pictures_do(qtbot: QtBot) -> None:
    low = fields(TWO, 1200, 200)[0]

    assert low.caption.px < INK.body_px
    assert low.place.rect.height >= 0.8 * 200


def test_pictures_reach_the_edges_of_their_area(qtbot: QtBot) -> None:
    left, right = fields(TWO, 1240, 500)

    assert left.place.rect.left <= 2
    assert right.place.rect.right >= 1238


NARROW = {FACE: Box(left=0.2, top=0.06, right=0.8, bottom=0.98)}
NARROW[LINE] = Box(left=0.3, top=0.0, right=0.6, bottom=1.0)
FOUR: list[Rows] = [(tuple((side, view) for view in (FACE, LINE) for side in Side),)]


def test_golfers_stand_larger_where_it_is_known_how_far_they_reach(qtbot: QtBot) -> None:
    usual, fitted = (fields(FOUR, 1240, 400, boxes=boxes)[0] for boxes in ({}, NARROW))

    assert fitted.place.fit > 1.2 * usual.place.fit


def test_what_has_to_be_seen_is_in_sight_and_no_paper_is(qtbot: QtBot) -> None:
    rest = {
        view: Framing(x=(b.left + b.right) / 2, y=(b.top + b.bottom) / 2)
        for view, b in NARROW.items()
    }
    for view in (FACE, LINE):
        field = fields([(((Side.NOW, view),),)], 500, 400, rest[view], NARROW)[0]
        rect, box = field.place.rect, NARROW[view]
        corner, other = (
            field.place.to_picture(rect.left, rect.top),
            field.place.to_picture(rect.right, rect.bottom),
        )

        slack = 2 / rect.width
        assert -slack <= corner.x <= box.left + slack
        assert -slack <= corner.y <= box.top + slack
        assert box.right - slack <= other.x <= 1 + slack
        assert box.bottom - slack <= other.y <= 1 + slack


def test_a_turned_picture_is_shown_whole(qtbot: QtBot) -> None:
    turned = Framing(turn_deg=90)

    assert fields(ONE, 800, 600, turned, NARROW) == fields(ONE, 800, 600, turned)


def test_an_upright_picture_gets_a_narrow_field(qtbot: QtBot) -> None:
    upright = fields(TWO, 1240, 600, Framing(turn_deg=90))[0].place.rect

    assert upright.width < upright.height


def picture(number: int, place: FieldPlace) -> tuple[FieldImage, FrameArray]:
    frame = paint_code(np.full((720, 1280, 3), 128, np.uint8), number)
    layer = Layer(frame_rgb=frame, size_px=(1280, 720), matrix=place.matrix)
    pixels = composed((place.rect.width, place.rect.height), layer)
    return FieldImage(image=image_of(pixels), place=place), pixels


def painted(field: BenchField, image: FieldImage | None, words: FieldWords | None) -> FrameArray:
    sheet = QImage(1240, 760, QImage.Format.Format_RGB888)
    sheet.fill(0xFFFFFF)
    painter = QPainter(sheet)
    if words is None:
        paint_picture(painter, field, image, INK)
    else:
        paint_field(painter, field, words, image, INK)
    painter.end()
    bits = sheet.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asstring(sheet.sizeInBytes()), np.uint8)
    rows = rows.reshape(760, sheet.bytesPerLine())
    return np.array(rows[:, : 3 * 1240].reshape(760, 1240, 3))


def test_a_ready_picture_is_painted_as_it_is(qtbot: QtBot) -> None:
    field = fields(ONE, 1240, 700)[0]
    image, pixels = picture(321, field.place)

    shown = painted(field, image, WORDS)[field.place.rect.cut]

    assert np.array_equal(shown, pixels[:, :, 2::-1])


def test_a_picture_of_another_zoom_is_bent_to_fit(qtbot: QtBot) -> None:
    field = fields(ONE, 1240, 700)[0]
    larger = fields(ONE, 900, 500)[0]
    image, _pixels = picture(321, larger.place)

    shown = painted(field, image, None)[field.place.rect.cut]

    assert read_code(shown) == 321


def test_a_field_without_a_picture_says_why(qtbot: QtBot) -> None:
    field = fields(ONE, 1240, 700)[0]
    words = FieldWords(whose="today", day="", view="face-on", missing="not recorded")

    shown = painted(field, None, words)[field.place.rect.cut]

    assert tuple(shown[5, 5]) == INK.shade
    assert (shown != INK.shade).any()


def test_the_rule_above_has_the_side_s_colour_and_both_where_one_lies_over(qtbot: QtBot) -> None:
    field = fields(ONE, 1240, 700)[0]
    over = FieldWords(whose="today", day="", view="face-on", over="own best")
    row = field.caption.rect.bottom - 2

    alone, both = (painted(field, None, words)[row] for words in (WORDS, over))

    left, right = field.caption.rect.left + 5, field.caption.rect.right - 5
    assert (tuple(alone[left]), tuple(alone[right])) == (INK.now, INK.now)
    assert (tuple(both[left]), tuple(both[right])) == (INK.now, INK.then)


def test_whatever_is_painted_over_stays_in_its_field(qtbot: QtBot) -> None:
    field = fields(ONE, 1240, 700)[0]
    sheet = QImage(1240, 760, QImage.Format.Format_RGB32)
    sheet.fill(0xFFFFFFFF)
    image, _pixels = picture(1, field.place)
    seen: list[tuple[Cell, FieldPlace]] = []

    def over(painter: QPainter, cell: Cell, place: FieldPlace) -> None:
        seen.append((cell, place))
        painter.fillRect(0, 0, 1240, 760, 0xFF0000)

    painter = QPainter(sheet)
    paint_picture(painter, field, image, INK, over)
    painter.end()

    rect = field.place.rect
    assert seen == [(NOW, field.place)]
    assert sheet.pixelColor(rect.left - 1, rect.top).green() == 255
