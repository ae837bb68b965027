"""A swing's small picture shows impact, is made once, and goes with its swing."""

from __future__ import annotations

import threading
from concurrent.futures import CancelledError as NeverBegunError
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from capturestation.errors import NotFoundError, OutputError, RefusedError
from capturestation.folders import atomic_write_bytes
from capturestation.records import Quiet, SwingId, View
from capturestation.station import intake, pictures
from capturestation.station.pictures import PictureMaker, picture_of, picture_path
from tests.helpers.coded_media import read_code
from tests.helpers.looked_at import BOTH, Room


def shown(path: Path) -> int:
    """The number painted into the frame that a picture shows."""
    bgr = cv2.imread(str(path))
    assert bgr is not None
    return read_code(np.ascontiguousarray(bgr[..., ::-1]).astype(np.uint8))


def nearest_to(room: Room, view: View, at_ns: int = 0) -> int:
    """The frame of a view nearest to a time."""
    times = room.times_ns(view)
    return min(range(len(times)), key=lambda n: abs(times[n] - at_ns))


@pytest.mark.parametrize("view", BOTH)
def test_a_picture_shows_the_frame_at_impact(looked_at: Room, view: View) -> None:
    path = picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, view)

    assert shown(path) == nearest_to(looked_at, view)
    assert path.parent == looked_at.cache.folder(looked_at.swing_id)
    assert path == picture_path(looked_at.cache, looked_at.library.swing(looked_at.swing_id), view)


def test_a_picture_is_made_once(looked_at: Room) -> None:
    first = picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)
    first.write_bytes(b"known")

    again = picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)

    assert again == first
    assert again.read_bytes() == b"known"


def test_another_zero_makes_another_picture_in_its_place(looked_at: Room) -> None:
    library, cache, key = looked_at.library, looked_at.cache, looked_at.swing_id
    both = {view: picture_of(library, cache, key, view) for view in BOTH}
    contact_ns = 500_000_000
    swing = library.swing(key)
    intake.place_by_hand(library, swing, View.FACE_ON, contact_ns, None, Quiet())

    fresh = picture_of(library, cache, key, View.FACE_ON)

    assert fresh != both[View.FACE_ON]
    assert shown(fresh) == 30
    assert not both[View.FACE_ON].exists()
    assert both[View.DOWN_THE_LINE].exists()


def test_a_failure_leaves_no_picture_and_can_be_tried_again(
    looked_at: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(path: Path, _: bytes) -> None:
        raise OutputError(f"There is no room left to write {path}.", try_next="Free some.")

    asked = (looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)
    monkeypatch.setattr(pictures, "atomic_write_bytes", refuse)
    with pytest.raises(OutputError):
        picture_of(*asked)
    assert looked_at.names() == []
    monkeypatch.undo()

    assert picture_of(*asked).exists()


def test_what_has_no_picture_is_named(looked_at: Room) -> None:
    library, cache, key = looked_at.library, looked_at.cache, looked_at.swing_id
    library.change_book(key, lambda book: replace(book, syncs=book.syncs[:1]))

    with pytest.raises(RefusedError, match="not placed"):
        picture_of(library, cache, key, View.DOWN_THE_LINE)
    with pytest.raises(NotFoundError, match="no extra view"):
        picture_of(library, cache, key, View.EXTRA)
    with pytest.raises(NotFoundError, match="nowhere"):
        picture_of(library, cache, SwingId("nowhere"), View.FACE_ON)

    assert picture_path(cache, library.swing(key), View.DOWN_THE_LINE) is None
    assert looked_at.names() == []


def test_pictures_are_made_in_the_background(looked_at: Room) -> None:
    with PictureMaker(looked_at.library, looked_at.cache) as maker:
        coming = [maker.ask(looked_at.swing_id, view) for view in BOTH]
        made = [one.result(timeout=20) for one in coming]

    assert [shown(path) for path in made] == [nearest_to(looked_at, view) for view in BOTH]


def test_closing_the_maker_forgets_what_waits(looked_at: Room) -> None:
    maker = PictureMaker(looked_at.library, looked_at.cache)
    begun, go_on = threading.Event(), threading.Event()

    def being_made() -> bool:
        begun.set()
        return go_on.wait(20)

    running = maker._worker.submit(being_made)
    assert begun.wait(20)  # otherwise it, too, only waits and is forgotten
    waiting = maker.ask(looked_at.swing_id, View.FACE_ON)
    # What is being made is waited for; here it ends as soon as what waits is forgotten.
    waiting.add_done_callback(lambda _: go_on.set())

    maker.close()

    assert running.result(timeout=20)
    with pytest.raises(NeverBegunError):
        waiting.result(timeout=20)
    assert looked_at.names() == []


def test_of_a_swing_deleted_while_its_picture_was_made_nothing_stays(
    looked_at: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    def written_late(path: Path, data: bytes) -> None:
        looked_at.library.delete_swing(looked_at.swing_id)
        atomic_write_bytes(path, data)

    monkeypatch.setattr(pictures, "atomic_write_bytes", written_late)
    with pytest.raises(NotFoundError):
        picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)

    assert looked_at.names() == []
