"""Pictures mixed as they are coded stand where they should, and look as they do through RGB."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.drawing.bench_place import FieldPlace, Framing
from capturestation.drawing.bench_planes import PlaneLayer, can_mix, mixed
from capturestation.drawing.rect import Rect
from capturestation.records import FrameArray, Planes, Point
from tests.helpers.coded_media import paint_code, read_code

SIZE = (160, 96)
FIELD = (320, 192)
MOST_OFF_PX = 0.5
"""A third of a pixel by the way it is laid, and what the measuring itself is off."""


def planes_of(luma: FrameArray, *, blue: int = 128, red: int = 128, matrix: int = 1) -> Planes:
    height, width = luma.shape
    parts = (np.full((height // 2, width // 2), level, np.uint8) for level in (blue, red))
    return Planes(luma=luma, blue=next(parts), red=next(parts), matrix=matrix, is_full=True)


def flat(level: int, size: tuple[int, int] = SIZE) -> Planes:
    return planes_of(np.full((size[1], size[0]), level, np.uint8))


def numbered(number: int) -> Planes:
    return planes_of(paint_code(np.full((96, 160, 3), 128, np.uint8), number)[:, :, 0].copy())


def spotted(x: float, y: float) -> Planes:
    """Dark with a soft bright spot about a place, counted from the edge."""
    across, down = np.arange(SIZE[0]) + 0.5 - x, np.arange(SIZE[1])[:, None] + 0.5 - y
    bump = 40 + 200 * np.exp(-(across**2 + down**2) / 18)
    return planes_of(np.rint(bump).astype(np.uint8))


def middle(luma: FrameArray) -> tuple[float, float]:
    """Of what is bright, from the edge."""
    weights = np.clip(luma.astype(np.float64) - 60, 0, None)
    across, down = np.arange(luma.shape[1]) + 0.5, np.arange(luma.shape[0])[:, None] + 0.5
    whole = weights.sum()
    return float((weights * across).sum() / whole), float((weights * down).sum() / whole)


def field(framing: Framing = Framing(), *, fit: float = 2.0) -> FieldPlace:  # noqa: B008
    rect = Rect(left=0, top=0, width=FIELD[0], height=FIELD[1])
    return FieldPlace(rect=rect, width_px=160, height_px=96, fit=fit, framing=framing)


def at(place: FieldPlace, planes: Planes) -> PlaneLayer:
    return PlaneLayer(planes=planes, size_px=SIZE, matrix=place.matrix)


@given(
    zoom=st.floats(1.0, 3.0),
    x=st.floats(0.35, 0.65),
    y=st.floats(0.35, 0.65),
    flipped=st.booleans(),
)
def test_a_place_of_the_picture_stands_where_the_field_says(
    zoom: float, x: float, y: float, flipped: bool
) -> None:
    # What is looked at stays inside, so that no paper shows.
    inside = 0.5 / zoom
    framing = Framing(
        zoom=zoom,
        x=min(max(x, inside), 1 - inside),
        y=min(max(y, inside), 1 - inside),
        is_flipped=flipped,
    )
    place, spot = field(framing), (framing.x * 160, framing.y * 96)
    layer = at(place, spotted(*spot))
    assert can_mix(FIELD, layer)

    shown = mixed(FIELD, layer)

    wanted = place.to_screen(Point(x=framing.x, y=framing.y))
    assert middle(shown.luma) == pytest.approx(wanted, abs=MOST_OFF_PX)


@given(scale=st.floats(0.3, 2.5), left=st.floats(-20, 300), top=st.floats(-20, 180))
def test_what_lies_over_reaches_as_far_as_it_should(scale: float, left: float, top: float) -> None:
    over = PlaneLayer(
        planes=flat(255),
        size_px=SIZE,
        matrix=(scale, 0.0, left, 0.0, scale, top, 0.0, 0.0, 1.0),
    )

    shown = mixed(FIELD, at(field(), flat(0)), over, opacity=1.0)

    lit = shown.luma > 127
    wide = min(left + scale * 160, 320) - max(left, 0)
    high = min(top + scale * 96, 192) - max(top, 0)
    assert lit.any(axis=0).sum() == pytest.approx(max(wide, 0), abs=2)
    assert lit.any(axis=1).sum() == pytest.approx(max(high, 0), abs=2)


@pytest.mark.parametrize(
    "framing",
    [Framing(turn_deg=-7.5, zoom=1.4), Framing(turn_deg=180.0), Framing(is_flipped=True)],
)
def test_what_is_turned_stands_where_the_field_says(framing: Framing) -> None:
    place = field(framing)
    layer = at(place, spotted(70, 40))
    assert can_mix(FIELD, layer)

    shown = mixed(FIELD, layer)

    wanted = place.to_screen(Point(x=70 / 160, y=40 / 96))
    assert middle(shown.luma) == pytest.approx(wanted, abs=MOST_OFF_PX)


@pytest.mark.parametrize("fit", [2.0, 1.0, 0.7, 0.4])
def test_the_number_can_be_read_at_any_size(fit: float) -> None:
    size = (round(160 * fit), round(96 * fit))
    rect = Rect(left=0, top=0, width=size[0], height=size[1])
    place = FieldPlace(rect=rect, width_px=160, height_px=96, fit=fit)

    shown = mixed(size, at(place, numbered(1234)))

    assert read_code(shown.luma[: size[1], : size[0]]) == 1234


@pytest.mark.parametrize("size", [(320, 192), (319, 191), (161, 97)])
def test_planes_are_of_even_size_and_hold_the_field(size: tuple[int, int]) -> None:
    rect = Rect(left=0, top=0, width=size[0], height=size[1])
    place = FieldPlace(rect=rect, width_px=160, height_px=96, fit=max(size[0] / 160, size[1] / 96))

    shown = mixed(size, at(place, flat(77)))

    height, width = shown.luma.shape
    assert (width, height) == (size[0] + size[0] % 2, size[1] + size[1] % 2)
    assert shown.blue.shape == shown.red.shape == (height // 2, width // 2)
    assert (shown.luma == 77).all()


def test_a_smaller_copy_stands_where_the_recording_would() -> None:
    small = cv2.resize(spotted(70, 40).luma, (80, 48), interpolation=cv2.INTER_AREA)

    shown = mixed(FIELD, at(field(), planes_of(np.asarray(small, np.uint8))))

    assert middle(shown.luma) == pytest.approx((140, 80), abs=MOST_OFF_PX)


@pytest.mark.parametrize("shape", [(48, 80), (96, 80), (96, 160)], ids=["420", "422", "444"])
def test_colours_come_from_planes_of_any_size(shape: tuple[int, int]) -> None:
    half = np.full(shape, 60, np.uint8)
    half[:, shape[1] // 2 :] = 200
    planes = Planes(luma=flat(90).luma, blue=half, red=half, matrix=1, is_full=False)

    shown = mixed(FIELD, at(field(), planes))

    assert shown.blue.shape == (96, 160)
    assert (shown.blue[:, :78] == 60).all()
    assert (shown.red[:, 82:] == 200).all()


@pytest.mark.parametrize(("opacity", "wanted"), [(0.25, 75), (0.5, 95), (0.9, 127)])
def test_what_lies_over_is_mixed_by_its_opacity(opacity: float, wanted: int) -> None:
    layers = at(field(), flat(55)), at(field(), flat(135))

    shown = mixed(FIELD, *layers, opacity=opacity)

    assert np.abs(shown.luma.astype(int) - wanted).max() <= 1


def test_frames_are_not_changed_by_being_mixed() -> None:
    # As large as the field: nothing has to be scaled.
    same = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0)
    base = PlaneLayer(planes=flat(55, FIELD), size_px=FIELD, matrix=same)
    over = at(field(), flat(135))

    mixed(FIELD, base, over, opacity=0.5)

    assert (base.planes.luma == 55).all()
    assert (over.planes.luma == 135).all()


def test_a_plane_map_bends_what_lies_over() -> None:
    bent = (2.0, 0.0, 0.0, 0.0, 2.0, 0.0, 0.0005, 0.0, 1.0)
    over = PlaneLayer(planes=spotted(70, 40), size_px=SIZE, matrix=bent)

    shown = mixed(FIELD, at(field(), flat(0)), over, opacity=1.0)

    w = 0.0005 * 70 + 1
    assert middle(shown.luma) == pytest.approx((140 / w, 80 / w), abs=MOST_OFF_PX)


@pytest.mark.parametrize(
    "framing",
    [Framing(zoom=0.9), Framing(turn_deg=10.0), Framing(x=0.6), Framing(turn_deg=90.0)],
    ids=["small", "askew", "beside", "on its side"],
)
def test_a_field_that_would_show_paper_is_refused(framing: Framing) -> None:
    assert not can_mix(FIELD, at(field(framing), flat(0)))


def test_a_base_seen_from_elsewhere_is_refused() -> None:
    bent = (2.0, 0.0, 0.0, 0.0, 2.0, 0.0, -0.0001, 0.0, 1.0)

    assert not can_mix(FIELD, PlaneLayer(planes=flat(0), size_px=SIZE, matrix=bent))


def test_pictures_coded_differently_are_refused() -> None:
    layers = [at(field(), planes_of(flat(90).luma, matrix=matrix)) for matrix in (1, 5)]

    assert not can_mix(FIELD, *layers)
    assert can_mix(FIELD, layers[0], layers[0])
