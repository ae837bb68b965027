"""Which frame stands for a moment on the page, and how it is cut."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace

import numpy as np
import pytest

from capturestation.drawing.grid import Side
from capturestation.drawing.home_page import StillRow
from capturestation.drawing.layout import LayoutName
from capturestation.drawing.sheet import scaled
from capturestation.library import Library
from capturestation.records import FrameArray, Moment, Quiet, Shape, View
from capturestation.station.clips import ClipWish, request_for
from capturestation.station.comparing import compare
from capturestation.station.framing import frame_swings
from capturestation.station.handout import open_readers
from capturestation.station.stills import Sights, at_moment, closer, shown_moments, still_blocks
from tests.helpers.sketches import drawing
from tests.helpers.station_library import Filled

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


@pytest.fixture
def sights(library: Library) -> Iterator[Sights]:
    found = compare(library, "latest", None)
    wish = ClipWish(layout=LayoutName.ALL_FOUR)
    request = request_for(library, found.now, found, wish)
    with ExitStack() as stack:
        readers = open_readers(request, stack)
        framing = frame_swings(request, readers, Quiet())
        yield Sights(request=request, framing=framing, readers=readers)


def pixels_of(row: StillRow) -> FrameArray:
    pixels = row.stills[0].pixels
    assert pixels is not None
    return pixels


def test_impact_and_top_come_before_all_else_and_stand_in_the_order_of_the_swing(
    sights: Sights,
) -> None:
    assert shown_moments(sights.request, 2, [Moment.SET]) == [Moment.TOP, Moment.IMPACT]
    three = shown_moments(sights.request, 3, [Moment.CLUB_STARTS])
    assert three == [Moment.CLUB_STARTS, Moment.TOP, Moment.IMPACT]


def test_a_moment_that_only_one_of_them_has_is_left_out(sights: Sights) -> None:
    # Only the earlier one is marked there.
    assert Moment.SHAFT_LEVEL_DOWN not in shown_moments(sights.request, 11)


def test_each_picture_is_the_frame_nearest_to_its_moment(sights: Sights) -> None:
    moments = [Moment.TOP, Moment.IMPACT]
    [block] = still_blocks(sights, moments, 5, Quiet())

    assert block.moments == ("top", "impact")
    assert [row.is_now for row in block.rows] == [False, True, False, True]
    now = sights.request.now.swing
    sync, reader = now.sync(View.FACE_ON), sights.readers["now face-on"]
    placement = sights.place(Side.NOW, View.FACE_ON)
    assert sync is not None
    assert placement is not None
    for still, moment in zip(block.rows[1].stills, moments, strict=True):
        media_ns = sync.to_media(at_moment(sights.request, moment))
        nearest = int(np.abs(reader.index.times_ns - media_ns).argmin())
        assert still.pixels is not None
        assert np.array_equal(still.pixels, scaled(reader.frame_rgb(nearest), placement))


def test_both_swings_of_a_view_are_cut_alike_and_no_wider_than_for_the_clip(
    sights: Sights,
) -> None:
    close = closer(sights, [Moment.TOP, Moment.IMPACT])

    for view in sights.request.views:
        boxes = [close.framing.boxes[f"{side} {view}"] for side in Side]
        assert boxes[0] == boxes[1]
        assert boxes[0].width <= sights.framing.boxes[f"now {view}"].width


def test_what_is_drawn_on_today_is_seen_on_today_alone(sights: Sights) -> None:
    line = drawing(Shape.LINE, (0.3, 0.2), (0.6, 0.7))
    now = replace(sights.request.now, drawings=(line,))
    drawn = replace(sights, request=replace(sights.request, now=now))

    [plain] = still_blocks(sights, [Moment.IMPACT], 5, Quiet())
    [marked] = still_blocks(drawn, [Moment.IMPACT], 5, Quiet())

    same = [
        np.array_equal(pixels_of(one), pixels_of(other))
        for one, other in zip(plain.rows, marked.rows, strict=True)
    ]
    assert same == [True, False, True, True]


def test_a_moment_beyond_the_recording_says_so_instead_of_a_wrong_frame(sights: Sights) -> None:
    request = sights.request
    late = replace(request.now.swing.book.syncs[0], swing_minus_media_ns=10_000_000_000)
    book = replace(request.now.swing.book, syncs=(late, *request.now.swing.book.syncs[1:]))
    swing = replace(request.now.swing, book=book)
    moved = replace(request, now=replace(request.now, swing=swing))

    [block] = still_blocks(replace(sights, request=moved), [Moment.IMPACT], 5, Quiet())

    told = [row.stills[0].missing for row in block.rows]
    assert told.count("the recording starts later") == 1
