"""Pictures laid into a field are where the map says, and mixed as wished."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from capturestation.drawing.bench_layers import Layer, composed
from capturestation.drawing.bench_place import FieldPlace, Framing
from capturestation.drawing.rect import Rect
from capturestation.records import FrameArray, Point
from tests.helpers.coded_media import paint_code, read_code

SIZE = (160, 96)
PAPER, DARK = (250, 240, 230), (20, 20, 20)


def picture(number: int = 5, grey: int = 128, size: tuple[int, int] = SIZE) -> FrameArray:
    return paint_code(np.full((size[1], size[0], 3), grey, np.uint8), number)


def spotted(x: int, y: int) -> FrameArray:
    """Grey with one white block of 6 x 6 about a place."""
    frame = np.full((SIZE[1], SIZE[0], 3), 60, np.uint8)
    frame[y - 3 : y + 3, x - 3 : x + 3] = 255
    return frame


def at(place: FieldPlace, frame: FrameArray) -> Layer:
    return Layer(frame_rgb=frame, size_px=SIZE, matrix=place.matrix)


def field(framing: Framing = Framing(), *, fit: float = 2.0) -> FieldPlace:  # noqa: B008
    rect = Rect(left=0, top=0, width=320, height=192)
    return FieldPlace(rect=rect, width_px=160, height_px=96, fit=fit, framing=framing)


def brightest(shown: FrameArray) -> tuple[float, float]:
    rows, columns = np.nonzero(shown[:, :, 1] > 200)
    return float(columns.mean()) + 0.5, float(rows.mean()) + 0.5


@pytest.mark.parametrize(
    "framing",
    [
        Framing(),
        Framing(zoom=1.5, x=0.4, y=0.45),
        Framing(is_flipped=True),
        Framing(turn_deg=90, zoom=0.5),
        Framing(turn_deg=-7.5, is_flipped=True, zoom=1.2),
    ],
)
def test_a_place_of_the_picture_stands_where_the_field_says(framing: Framing) -> None:
    place = field(framing)

    shown = composed((320, 192), at(place, spotted(70, 40)), paper=DARK)

    wanted = place.to_screen(Point(x=70 / 160, y=40 / 96))
    assert brightest(shown) == pytest.approx(wanted, abs=0.3)


def test_a_smaller_copy_stands_where_the_recording_would() -> None:
    copy = cv2.resize(spotted(70, 40), (80, 48), interpolation=cv2.INTER_AREA).astype(np.uint8)
    place = field()

    shown = composed((320, 192), at(place, copy), paper=PAPER)

    assert brightest(shown) == pytest.approx((140, 80), abs=0.6)


@pytest.mark.parametrize("fit", [2.0, 0.7, 0.4])
def test_the_number_can_be_read_at_any_size(fit: float) -> None:
    size = (round(160 * fit), round(96 * fit))
    place = FieldPlace(
        rect=Rect(left=0, top=0, width=size[0], height=size[1]), width_px=160, height_px=96, fit=fit
    )

    shown = composed(size, at(place, picture(1234)), paper=PAPER)

    assert read_code(shown[:, :, :3]) == 1234


def test_colours_come_as_qt_wants_them() -> None:
    frame = np.zeros((96, 160, 3), np.uint8)
    frame[:] = (200, 100, 50)

    shown = composed((320, 192), at(field(), frame), paper=PAPER)

    assert shown[90, 150].tolist() == [50, 100, 200, 255]
    assert shown.flags.c_contiguous


def test_paper_shows_beside_a_picture() -> None:
    shown = composed((320, 192), at(field(Framing(zoom=0.5)), picture()), paper=PAPER)

    assert shown[5, 5].tolist() == [230, 240, 250, 255]


@pytest.mark.parametrize(("opacity", "wanted"), [(0.25, 75), (0.5, 100), (0.9, 132)])
def test_what_lies_over_is_mixed_by_its_opacity(opacity: float, wanted: int) -> None:
    below, above = (np.full((96, 160, 3), grey, np.uint8) for grey in (55, 140))
    if opacity == 0.5:
        below, above = np.full_like(below, 60), np.full_like(above, 140)
    layers = at(field(), below), at(field(), above)

    shown = composed((320, 192), *layers, opacity=opacity, paper=PAPER)

    assert abs(int(shown[90, 150, 0]) - wanted) <= 2


def test_where_nothing_lies_over_today_s_picture_stays_as_it_is() -> None:
    over = at(field(Framing(zoom=0.5)), np.full((96, 160, 3), 255, np.uint8))

    shown = composed((320, 192), at(field(), picture(77)), over, paper=PAPER)

    assert read_code(shown[:, :, :3]) == 77


def test_a_plane_map_bends_the_picture() -> None:
    bent = (2.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0005, 0.0, 1.0)
    layer = Layer(frame_rgb=spotted(70, 40), size_px=SIZE, matrix=bent)

    shown = composed((320, 192), layer, paper=DARK)

    w = 0.0005 * 70 + 1
    assert brightest(shown) == pytest.approx((140 / w, 80 / w), abs=0.4)
