"""A swing thrown away comes back for thirty days, and what was made of it goes at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from capturestation.errors import CancelledError, NotFoundError, OutputError
from capturestation.folders import write_document
from capturestation.library import Library, Trashed
from capturestation.records import Quiet, StopAfter, View
from capturestation.station import deleting
from capturestation.station.deleting import (
    KEPT_DAYS,
    bring_back,
    delete_for_good,
    empty_trash,
    find_trashed,
    older_than,
    throw_away,
)
from capturestation.station.pictures import picture_of
from tests.helpers.looked_at import Room


def thrown(room: Room) -> Trashed:
    """Today's swing, in the trash."""
    return throw_away(room.library, room.cache, room.library.swing(room.swing_id))


def aged(room: Room, note: Trashed, days: float) -> None:
    """Let it have lain there for so many days."""
    old = replace(note, trashed_at=note.trashed_at - timedelta(days=days))
    write_document(room.library.places.trashed(note.id) / "trashed.json", "trashed", old)


def test_a_swing_thrown_away_comes_back_with_its_star_and_its_marks(looked_at: Room) -> None:
    library = looked_at.library
    swing = library.change_book(looked_at.swing_id, lambda book: replace(book, starred=True))
    note = thrown(looked_at)
    with pytest.raises(NotFoundError):
        library.swing(swing.id)

    back = bring_back(library, note)

    assert back == deleting.BroughtBack(swing=swing)
    assert library.swing(swing.id) == swing
    assert library.check(Quiet()).sound


def test_pictures_of_it_go_at_once(looked_at: Room) -> None:
    picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)
    kept = picture_of(looked_at.library, looked_at.cache, looked_at.other_id, View.FACE_ON)

    thrown(looked_at)

    assert looked_at.cache.held() == {looked_at.other_id}
    assert kept.exists()


def test_where_its_lesson_is_gone_it_comes_back_into_one_of_its_day(looked_at: Room) -> None:
    library = looked_at.library
    swing = library.swing(looked_at.swing_id)
    note = thrown(looked_at)
    library.trash_swing(looked_at.other_id)
    library.delete_lesson(note.lesson_id)

    back = bring_back(library, note)

    lesson = library.lesson(back.swing.book.lesson_id)
    assert lesson.on == swing.facts.struck_at.date()
    assert "lesson was deleted meanwhile" in back.said
    other = bring_back(library, find_trashed(library, "latest"))
    assert other.swing.book.lesson_id == lesson.id
    assert library.check(Quiet()).sound


def test_a_lesson_that_was_opened_in_vain_goes_again(
    looked_at: Room, monkeypatch: pytest.MonkeyPatch
) -> None:
    library = looked_at.library
    note = thrown(looked_at)
    library.trash_swing(looked_at.other_id)
    library.delete_lesson(note.lesson_id)

    def refuse(*_: object, **__: object) -> None:
        raise OutputError("No.", try_next="")

    monkeypatch.setattr(Library, "restore_swing", refuse)
    with pytest.raises(OutputError):
        bring_back(library, note)

    assert library.lessons(note.student_id) == ()
    assert len(library.trash()) == 2


def test_what_lies_in_the_trash_is_found_by_its_first_signs(looked_at: Room) -> None:
    library = looked_at.library
    note = thrown(looked_at)

    assert find_trashed(library, note.id[:5].upper()) == note
    assert find_trashed(library, " latest ") == note
    for text in ("", "zzzz"):
        with pytest.raises(NotFoundError, match="No swing in the trash"):
            find_trashed(library, text)


def test_the_next_one_thrown_away_takes_what_lay_there_too_long(looked_at: Room) -> None:
    note = thrown(looked_at)
    aged(looked_at, note, KEPT_DAYS - 1)
    throw_away(looked_at.library, looked_at.cache, looked_at.library.swing(looked_at.other_id))
    assert len(looked_at.library.trash()) == 2
    bring_back(looked_at.library, find_trashed(looked_at.library, looked_at.other_id))

    aged(looked_at, note, KEPT_DAYS + 1)
    throw_away(looked_at.library, looked_at.cache, looked_at.library.swing(looked_at.other_id))

    assert [one.id for one in looked_at.library.trash()] == [looked_at.other_id]
    assert not looked_at.library.places.trashed(note.id).exists()


def test_emptying_the_trash_says_how_much_went(looked_at: Room) -> None:
    swing = looked_at.library.swing(looked_at.swing_id)
    size = sum(recording.size_bytes for recording in swing.facts.recordings)
    note = thrown(looked_at)
    assert older_than(looked_at.library, 1) == ()
    assert empty_trash(looked_at.library, looked_at.cache, Quiet(), days=1).swings == ()

    gone = empty_trash(looked_at.library, looked_at.cache, Quiet())

    assert gone.swings == (note.id,)
    assert gone.freed.files == 5
    assert gone.freed.size_bytes > size
    assert looked_at.library.trash() == ()


def test_emptying_that_is_stopped_leaves_the_rest(looked_at: Room) -> None:
    thrown(looked_at)
    looked_at.library.trash_swing(looked_at.other_id)

    with pytest.raises(CancelledError):
        empty_trash(looked_at.library, looked_at.cache, StopAfter(0.5))

    assert len(looked_at.library.trash()) == 1


def test_past_the_trash_a_swing_is_gone_for_good(looked_at: Room) -> None:
    picture_of(looked_at.library, looked_at.cache, looked_at.swing_id, View.FACE_ON)
    folder = looked_at.library.swing_path(looked_at.swing_id)

    gone = delete_for_good(looked_at.library, looked_at.cache, looked_at.swing_id)

    assert gone.freed.files == 5
    assert not folder.exists()
    assert looked_at.names() == []
    assert looked_at.library.trash() == ()
