"""How far a swing reaches, from pictures of an invented golfer whose every pixel is known."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

import numpy as np
import pytest

from capturestation.records import Box, FrameArray, IntArray
from capturestation.tracking.reach import Reach
from tests.helpers.pictures import Bay, empty_picture, swing_pictures
from tests.helpers.swings import Motion

WIDER = 0.12
# Of the picture's height: how much more than the swing the box may show on a side.


def stamps(rate_hz: float) -> IntArray:
    return (np.arange(-1.3, 0.9, 1 / rate_hz) * 1e9).astype(np.int64)


def reached(rate_hz: float) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of every pixel that golfer, club or ball is ever in."""
    still = Bay(noise=0.0)
    empty = empty_picture(still).astype(int)
    ever = np.zeros(empty.shape, dtype=np.bool_)
    for picture in swing_pictures(1, stamps(rate_hz), Motion(), still):
        ever |= np.abs(picture.astype(int) - empty) > 8
    rows, columns = np.flatnonzero(ever.any(axis=1)), np.flatnonzero(ever.any(axis=0))
    height, width = empty.shape[:2]
    return (
        float(columns[0]) / width,
        float(rows[0]) / height,
        float(columns[-1] + 1) / width,
        float(rows[-1] + 1) / height,
    )


def pictures(bay: Bay, rate_hz: float) -> Iterator[FrameArray]:
    return swing_pictures(1, stamps(rate_hz), Motion(), bay)


def check(box: Box | None, rate_hz: float) -> None:
    left, top, right, bottom = reached(rate_hz)
    bay = Bay()
    wider_x = WIDER * bay.height_px / bay.width_px
    assert box is not None
    assert left - wider_x <= box.left <= left
    assert top - WIDER <= box.top <= top
    assert right <= box.right <= right + wider_x
    assert bottom <= box.bottom <= min(bottom + WIDER, 1.0)


def moved_box(greys: Iterable[FrameArray], *, evenly: bool = False) -> Box | None:
    reach = Reach()
    for grey in greys:
        reach.see(grey)
    return reach.box(evenly=evenly)


@pytest.mark.parametrize("rate_hz", [30.0, 60.0, 240.0])
def test_golfer_club_feet_and_ball_are_in_the_box_and_little_else(rate_hz: float) -> None:
    box = moved_box(pictures(Bay(), rate_hz))

    check(box, rate_hz)
    left, top, right, bottom = reached(rate_hz)
    assert box is not None
    assert min(left - box.left, box.right - right) > 0.01
    assert box.top < top
    assert box.bottom - bottom > 0.03


@pytest.mark.parametrize("bay", [Bay(flicker=0.1), Bay(noise=4.0)], ids=["flicker", "noise"])
def test_lamps_and_a_noisy_sensor_do_not_widen_it(bay: Bay) -> None:
    check(moved_box(pictures(bay, 60.0)), 60.0)


def packed(greys: Iterable[FrameArray]) -> Iterator[FrameArray]:
    """Blocks of 8 pixels jump by a few steps of grey with each key frame."""
    rng = np.random.default_rng(3)
    blocks = np.zeros((1, 1), dtype=int)
    for number, grey in enumerate(greys):
        if number % 12 == 0:
            jumps = rng.integers(-2, 3, (grey.shape[0] // 8 + 1, grey.shape[1] // 8 + 1))
            blocks = np.kron(jumps, np.ones((8, 8), dtype=int))[: grey.shape[0], : grey.shape[1]]
        yield np.clip(grey + blocks, 0, 255).astype(np.uint8)


def with_ball_in_flight(greys: Iterable[FrameArray]) -> Iterator[FrameArray]:
    """A bright ball of 4 pixels flies off to the right, 25 pixels from picture to picture."""
    hit = int(np.searchsorted(stamps(60.0), 0))
    for number, grey in enumerate(greys):
        flown = 25 * (number - hit) + 20
        x, y = 120 + flown, 118 - flown // 4
        if flown > 0 and x < grey.shape[1] - 4:
            grey[y : y + 4, x : x + 4] = 240
        yield grey


def with_a_passer_by(greys: Iterable[FrameArray]) -> Iterator[FrameArray]:
    """Somebody dark walks about far off at the left edge."""
    for number, grey in enumerate(greys):
        x = 2 + (number // 8) % 12
        grey[50:80, x : x + 8] = 20
        yield grey


@pytest.mark.parametrize("besides", [packed, with_ball_in_flight, with_a_passer_by])
def test_what_else_moves_does_not_widen_it(
    besides: Callable[[Iterable[FrameArray]], Iterator[FrameArray]],
) -> None:
    check(moved_box(besides(pictures(Bay(), 60.0))), 60.0)


def test_whoever_else_moves_has_a_box_of_his_own() -> None:
    reach = Reach()
    for number, picture in enumerate(pictures(Bay(), 15.0)):
        grey = picture.copy()
        height, width = grey.shape[:2]
        grey[height // 3 : -9, -width // 6 : -width // 20] = 90 + 15 * (number % 6)
        reach.see(grey)

    golfer, other = sorted(reach.boxes(), key=lambda box: box.left)

    check(golfer, 15.0)
    assert other.left > golfer.right - 0.1


@pytest.mark.parametrize("n", [0, 1, 3, 40])
def test_where_nothing_moves_there_is_no_box(n: int) -> None:
    rng = np.random.default_rng(2)
    still = empty_picture(Bay()).astype(float)
    greys = [
        np.clip(still + rng.normal(0, 3, still.shape), 0, 255).astype(np.uint8) for _ in range(n)
    ]

    assert moved_box(greys) is None


def test_a_club_that_blurs_on_its_way_through_is_given_the_room_it_had_going_back() -> None:
    times_ns = stamps(60.0)
    seen = [
        grey if at_ns < 0 else np.where(grey < 60, 120, grey).astype(np.uint8)
        for grey, at_ns in zip(pictures(Bay(), 60.0), times_ns, strict=True)
    ]
    _, _, right, _ = reached(60.0)

    one_sided, even = moved_box(seen), moved_box(seen, evenly=True)

    assert one_sided is not None
    assert even is not None
    assert one_sided.right < right <= even.right
    assert (even.left, even.top, even.bottom) == pytest.approx(
        (one_sided.left, one_sided.top, one_sided.bottom)
    )


def test_the_more_noise_hides_the_more_room_is_given() -> None:
    boxes = [moved_box(pictures(Bay(noise=noise), 60.0)) for noise in (1.0, 6.0, 12.0)]

    widths = [box.width for box in boxes if box is not None]
    assert len(widths) == 3
    assert widths == sorted(widths)
    assert widths[-1] > widths[0] + 0.05
