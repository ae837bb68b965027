"""A swing opens at once and shows exact frames, before its working copies are made and after."""

from __future__ import annotations

import errno
import os
import stat
import threading
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import NotFoundError, NotReadableError, OutputError
from capturestation.media.working_copy import METHOD
from capturestation.records import SwingId, View
from capturestation.station.angle import Making
from capturestation.station.cache import Cache
from capturestation.station.looking import NO_ROOM, Looking
from tests.helpers.coded_media import read_code
from tests.helpers.looked_at import BOTH, Held, Room, codes, made
from tests.helpers.station_library import NAME

COPY = f".look{METHOD}.mp4"


def test_an_opened_swing_shows_every_frame_at_its_time_from_impact(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    with looking.open(looked_at.swing_id) as swing:
        assert tuple(swing.angles) == BOTH
        for view, angle in swing.angles.items():
            assert angle.times_ns.tolist() == looked_at.times_ns(view)
            assert not angle.is_copy
            assert codes(angle) == list(reversed(range(len(angle))))
            assert angle.view is view


def test_a_swing_looked_at_before_opens_over_its_copies(looked_at: Room, looking: Looking) -> None:
    looking.prepare(looked_at.swing_id)
    made(looking)
    before = looked_at.names()

    with looking.open(looked_at.swing_id) as swing:
        assert all(angle.is_copy for angle in swing.angles.values())
    made(looking)

    assert len(before) == 2
    assert looked_at.names() == before


def test_copies_lie_privately_under_ids_alone(looked_at: Room, looking: Looking) -> None:
    looking.prepare(looked_at.swing_id)
    made(looking)

    folders = [looked_at.cache.root, looked_at.cache.folder(looked_at.swing_id)]
    assert [stat.S_IMODE(folder.stat().st_mode) for folder in folders] == [0o700, 0o700]
    assert looked_at.cache.root.name == looked_at.library.key
    words = " ".join(looked_at.names()).casefold()
    assert all(name.startswith(looked_at.swing_id) for name in looked_at.names())
    assert not any(part.casefold() in words for part in NAME.split())


def test_closing_stops_what_is_being_made(looked_at: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    looking = Looking(looked_at.library, looked_at.cache)
    begun = threading.Event()
    report = Making.report

    def waits(self: Making, share: float, words: str) -> None:
        report(self, share, words)
        begun.set()
        assert looking._maker._stop.wait(20)

    monkeypatch.setattr(Making, "report", waits)
    looking.prepare(looked_at.swing_id)
    assert begun.wait(20)

    looking.close()

    assert looked_at.names() == []


def full(*_: object, **__: object) -> None:
    """A disk without room."""
    raise OSError(errno.ENOSPC, "No space left on device")


def test_on_a_full_disk_the_recordings_are_looked_at_and_it_says_so(
    looked_at: Room, looking: Looking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("capturestation.media.encode.ClipWriter._open", full)
    with looking.open(looked_at.swing_id) as swing:
        made(looking)

        for angle in swing.angles.values():
            assert read_code(angle.frame_rgb(9)) == 9
            assert not angle.is_copy
            assert "the disk is full" in " ".join(angle.said)
    assert looked_at.names() == []


def test_with_little_room_left_no_copy_is_begun(looked_at: Room) -> None:
    cache = Cache(looked_at.cache.root, least_free_bytes=1 << 62)

    with Looking(looked_at.library, cache) as looking, looking.open(looked_at.swing_id) as swing:
        made(looking)
        assert [angle.said for angle in swing.angles.values()] == [(NO_ROOM,)] * 2
        assert read_code(swing.angles[View.FACE_ON].frame_rgb(3)) == 3

    assert not looked_at.cache.root.exists()


def test_a_cache_that_can_not_be_made_costs_only_speed(
    looked_at: Room, looking: Looking, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_: Cache, swing_id: str) -> Path:
        raise OutputError(f"{swing_id} can't be made.", try_next="Look at the disk.")

    monkeypatch.setattr(Cache, "made_folder", refuse)
    with looking.open(looked_at.swing_id) as swing:
        angle = swing.angles[View.FACE_ON]
        assert read_code(angle.frame_rgb(3)) == 3
        assert "No working copy is made" in angle.said[0]


def test_a_copy_that_was_damaged_is_made_again(looked_at: Room, looking: Looking) -> None:
    looking.prepare(looked_at.swing_id)
    made(looking)
    for path in looked_at.cache.root.rglob(f"*{COPY}"):
        path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])

    with looking.open(looked_at.swing_id) as swing:
        made(looking)
        assert all(angle.is_copy for angle in swing.angles.values())
        assert codes(swing.angles[View.FACE_ON])[0] == len(swing.angles[View.FACE_ON]) - 1


def test_of_a_swing_deleted_while_its_copy_was_made_nothing_stays(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    with looking.open(looked_at.swing_id):
        looked_at.library.trash_swing(looked_at.swing_id)
        looked_at.library.delete_trashed(looked_at.swing_id)
        held.go_on.set()
        made(looking)

    assert looked_at.names() == []


def test_a_copy_in_use_is_not_the_one_that_goes(looked_at: Room) -> None:
    cache = Cache(looked_at.cache.root, most_bytes=1)

    with Looking(looked_at.library, cache) as looking, looking.open(looked_at.swing_id) as first:
        made(looking)
        looking.prepare(looked_at.other_id)
        made(looking)

        kept = {angle.source for angle in first.angles.values()}
        assert all(path.exists() for path in kept)
        assert len(looked_at.names()) == 2
        assert read_code(first.angles[View.FACE_ON].frame_rgb(2)) == 2


def test_a_recording_that_is_gone_leaves_the_other_angle(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    looked_at.original(View.DOWN_THE_LINE).unlink()

    with looking.open(looked_at.swing_id) as swing:
        assert tuple(swing.angles) == (View.FACE_ON,)
        assert "down-the-line recording can't be shown" in swing.said[0]
    looked_at.original(View.FACE_ON).unlink()
    with pytest.raises(NotReadableError, match="is not there"):
        looking.open(looked_at.swing_id)


def test_a_recording_without_a_place_on_the_clock_is_left_out(
    looked_at: Room, looking: Looking, held: Held
) -> None:
    looked_at.library.change_book(
        looked_at.swing_id,
        lambda book: replace(book, syncs=tuple(s for s in book.syncs if s.view is View.FACE_ON)),
    )

    with looking.open(looked_at.swing_id) as swing:
        assert tuple(swing.angles) == (View.FACE_ON,)
        assert swing.said == ("The down-the-line recording is not placed on the clock yet.",)


def test_a_swing_that_is_not_there_is_named(looked_at: Room, looking: Looking) -> None:
    with pytest.raises(NotFoundError, match="nowhere"):
        looking.open(SwingId("nowhere"))

    assert looked_at.names() == []


def test_opening_marks_a_copy_as_looked_at(looked_at: Room, looking: Looking) -> None:
    looking.prepare(looked_at.swing_id)
    made(looking)
    for path in looked_at.cache.root.rglob(f"*{COPY}"):
        os.utime(path, (1_000, 1_000))

    looking.open(looked_at.swing_id).close()

    times = [path.stat().st_mtime for path in looked_at.cache.root.rglob(f"*{COPY}")]
    assert len(times) == 2
    assert min(times) > 1_000
