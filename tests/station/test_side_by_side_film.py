"""One film of all angles of both swings: what stands where, and which frame is when."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PyQt6.QtGui import QImage

from capturestation.drawing.grid import Side
from capturestation.drawing.layout import LayoutName
from capturestation.errors import CancelledError
from capturestation.library import Library
from capturestation.media.canvas import planes
from capturestation.media.frames import FrameReader
from capturestation.records import Quiet, Shape, StopAfter, View
from capturestation.station.clips import ClipWish, request_for
from capturestation.station.comparing import compare
from capturestation.station.framing import frame_swings
from capturestation.station.handout import open_readers
from capturestation.station.side_by_side_film import drawn_on_film, frames_of, plan_film, write_film
from capturestation.station.stills import Sights
from tests.helpers.sketches import drawing
from tests.helpers.station_library import Filled

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def sights(filled: Filled) -> Iterator[Sights]:
    with Library.open(filled.folder) as library, ExitStack() as stack:
        found = compare(library, "latest", None)
        request = request_for(library, found.now, found, ClipWish(layout=LayoutName.ALL_FOUR))
        readers = open_readers(request, stack)
        framing = frame_swings(request, readers, Quiet())
        yield Sights(request=request, framing=framing, readers=readers)


def test_both_swings_stand_beside_each_other_and_no_picture_covers_another(sights: Sights) -> None:
    film = plan_film(sights)

    covered = np.zeros((film.height_px, film.width_px), dtype=np.int64)
    for cell in film.cells:
        covered[cell.rect.cut] += 1
    assert covered.max() == 1
    assert [(cell.side, cell.view) for cell in film.cells] == [
        (side, view) for view in sights.request.views for side in (Side.THEN, Side.NOW)
    ]


def test_what_is_drawn_on_today_comes_as_a_picture_that_fits_and_lies_where_it_was_drawn(
    sights: Sights,
) -> None:
    box = sights.framing.boxes["now face-on"]
    middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
    plumb = drawing(Shape.PLUMB, middle)
    now = replace(sights.request.now, drawings=(plumb,))
    sights = replace(sights, request=replace(sights.request, now=now))
    film = plan_film(sights)

    drawn = drawn_on_film(sights, film)

    assert set(drawn) == {View.FACE_ON}
    image = QImage.fromData(drawn[View.FACE_ON])
    cell = next(c for c in film.cells if (c.side, c.view) == (Side.NOW, View.FACE_ON))
    assert (image.width(), image.height()) == (2 * cell.rect.width, 2 * cell.rect.height)
    row = [image.pixelColor(x, image.height() // 4).alpha() for x in range(image.width())]
    assert np.average(range(len(row)), weights=row) == pytest.approx(image.width() / 2, abs=4)
    assert max(row) > 200


def test_its_times_are_evenly_apart_with_impact_as_one_of_them(sights: Sights) -> None:
    film = plan_film(sights)

    assert 0 in film.times_ns
    assert len(set(np.diff(film.times_ns).tolist())) == 1
    assert film.times_ns[0] >= sights.request.start_ns
    # Sixty pictures a second, at half the speed.
    assert film.rate_hz == pytest.approx(30, rel=1e-3)
    assert float(film.slowed) == pytest.approx(0.5, rel=1e-3)


def test_each_frame_shows_the_recordings_frame_nearest_to_its_time(
    sights: Sights, tmp_path: Path
) -> None:
    film = plan_film(sights)
    write_film(sights, film, tmp_path / "film.mp4", Quiet())

    cell = next(c for c in film.cells if (c.side, c.view) == (Side.NOW, View.FACE_ON))
    source = sights.readers["now face-on"]
    ordinals = frames_of(sights, film, cell, source)
    sync = sights.request.now.swing.sync(View.FACE_ON)
    assert sync is not None
    asked, there = sync.to_media(film.times_ns), source.index.times_ns
    reaches = (asked >= there[0]) & (asked <= there[-1])
    assert reaches.mean() > 0.8
    assert np.abs(there[ordinals] - asked)[reaches].max() <= 1e9 / 60 / 2 + 1e6
    with FrameReader(tmp_path / "film.mp4") as made:
        assert len(made) == len(film.times_ns)
        for frame in (0, len(made) // 2, len(made) - 1):
            shown = made.frame_rgb(frame)[cell.rect.cut].mean(axis=2)
            luma = planes(source.frame_planar(int(ordinals[frame]), cell.cut))[0]
            wanted = (luma.astype(float) - 16) * 255 / 219
            assert np.abs(shown - wanted).mean() < 6


def test_stopped_it_leaves_nothing(sights: Sights, tmp_path: Path) -> None:
    folder = tmp_path / "films"
    folder.mkdir()

    with pytest.raises(CancelledError):
        write_film(sights, plan_film(sights), folder / "film.mp4", StopAfter(0.5))

    assert list(folder.iterdir()) == []
