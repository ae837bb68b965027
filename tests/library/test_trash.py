"""A swing thrown away is out of the way at once, whole in the trash, and comes back as it was."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import NotFoundError, OutputError, RefusedError
from capturestation.folders import move_folder
from capturestation.library import Library, Problem, Trashed, merge_library, rebuild, trash
from capturestation.library.merge_report import Outcome
from capturestation.records import LessonId, Quiet, SwingId
from tests.helpers.library_records import Filled, a_lesson, a_struck_swing, files_below, keep


def test_a_swing_in_the_trash_is_no_swing_and_all_its_files_are_kept(
    library: Library, filled: Filled
) -> None:
    before = files_below(library.swing_path(filled.swing.id))

    note = library.trash_swing(filled.swing.id)

    assert library.swings(filled.lesson.id) == ()
    assert library.trash() == (note,)
    assert (note.student_id, note.lesson_id) == (filled.student.id, filled.lesson.id)
    assert library.trashed_swing(note.id) == filled.swing
    there = files_below(library.folder / "trash" / note.id)
    assert there.pop("trashed.json")
    assert there == before
    assert library.check(Quiet()).sound


def test_a_swing_comes_back_as_it_was(library: Library, filled: Filled) -> None:
    before = files_below(library.folder)
    library.trash_swing(filled.swing.id)

    assert library.restore_swing(filled.swing.id) == filled.swing

    assert library.swing(filled.swing.id) == filled.swing
    assert files_below(library.folder) == before
    assert library.trash() == ()
    assert library.check(Quiet()).sound


def test_a_swing_comes_back_into_another_lesson_of_the_student(
    library: Library, filled: Filled
) -> None:
    other = library.add_lesson(a_lesson(filled.student))
    library.trash_swing(filled.swing.id)
    library.delete_lesson(filled.lesson.id)
    with pytest.raises(NotFoundError):
        library.restore_swing(filled.swing.id)
    assert len(library.trash()) == 1

    back = library.restore_swing(filled.swing.id, lesson_id=other.id)

    assert library.swings(other.id) == (back,)
    assert back.book.marks == filled.swing.book.marks
    assert library.check(Quiet()).sound


def test_what_is_in_the_library_again_does_not_come_back_twice(
    library: Library, filled: Filled, originals: Path
) -> None:
    struck = a_struck_swing(originals, filled.lesson)
    twin = a_struck_swing(originals, filled.lesson)
    first = keep(library, struck)
    library.trash_swing(first.id)
    facts = replace(twin.facts, recordings=struck.facts.recordings)
    again = keep(library, replace(twin, facts=facts, media=struck.media))

    with pytest.raises(RefusedError, match=again.id):
        library.restore_swing(first.id)

    assert [note.id for note in library.trash()] == [first.id]


def test_an_id_in_the_trash_is_taken(library: Library, filled: Filled, originals: Path) -> None:
    struck = a_struck_swing(originals, filled.lesson)
    keep(library, struck)
    library.trash_swing(struck.facts.id)

    with pytest.raises(ValueError, match="is or was"):
        keep(library, struck)


def test_a_trashed_swing_goes_for_good_and_leaves_a_tombstone(
    library: Library, filled: Filled
) -> None:
    library.trash_swing(filled.swing.id)

    library.delete_trashed(filled.swing.id)

    assert list((library.folder / "trash").iterdir()) == []
    assert (library.folder / "gone" / f"{filled.swing.id}.json").exists()
    assert library.check(Quiet()).sound
    with pytest.raises(NotFoundError):
        library.restore_swing(filled.swing.id)


@pytest.mark.parametrize("act", ["restore_swing", "delete_trashed", "trashed_swing", "trash_swing"])
def test_a_swing_that_is_not_there_is_named(library: Library, act: str) -> None:
    with pytest.raises(NotFoundError, match="nowhere"):
        getattr(library, act)(SwingId("nowhere"))


def test_forgetting_a_student_empties_the_trash_of_his_swings_only(
    library: Library, filled: Filled, range_swing: Filled, laptop: Path
) -> None:
    merge_library(library, laptop, Quiet())
    library.trash_swing(filled.swing.id)
    other = library.trash_swing(range_swing.swing.id)

    library.delete_student(filled.student.id, Quiet())

    assert library.trash() == (other,)
    assert [p.name for p in (library.folder / "trash").iterdir()] == [other.id]


def test_a_rebuild_leaves_the_trash_alone(library: Library, filled: Filled) -> None:
    note = library.trash_swing(filled.swing.id)
    library.close()

    assert rebuild(library.folder, Quiet()).left == ()

    with Library.open(library.folder) as again:
        assert again.swings(filled.lesson.id) == ()
        assert again.trash() == (note,)
        assert again.restore_swing(filled.swing.id) == filled.swing


def test_a_merge_does_not_bring_back_what_is_in_the_trash(
    library: Library, filled: Filled, laptop: Path
) -> None:
    library.trash_swing(filled.swing.id)

    report = merge_library(library, laptop, Quiet())

    assert [item.id for item in report.of(Outcome.GONE_HERE)] == [filled.swing.id]
    assert library.swings(filled.lesson.id) == ()


class StoppedError(Exception):
    """A crash just there."""


def crash(monkeypatch: pytest.MonkeyPatch, *, after: bool) -> None:
    """Let the next move of a folder end the work, before or after it is done."""

    def move(source: Path, target: Path) -> None:
        if after:
            move_folder(source, target)
        raise StoppedError

    monkeypatch.setattr(trash, "move_folder", move)
    # As after a kill: nobody settles; the next opening does.
    monkeypatch.setattr(Library, "_settle_after_failure", lambda *_: None)


@pytest.mark.parametrize("after", [False, True])
def test_killed_on_the_way_to_the_trash_a_swing_is_in_one_place(
    library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch, after: bool
) -> None:
    crash(monkeypatch, after=after)
    with pytest.raises(StoppedError):
        library.trash_swing(filled.swing.id)
    library.close()
    monkeypatch.undo()

    with Library.open(library.folder) as again:
        assert again.check(Quiet()).sound
        assert len(again.swings(filled.lesson.id)) == (0 if after else 1)
        assert len(again.trash()) == (1 if after else 0)


@pytest.mark.parametrize("after", [False, True])
def test_killed_on_the_way_back_a_swing_is_in_one_place(
    library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch, after: bool
) -> None:
    library.trash_swing(filled.swing.id)
    crash(monkeypatch, after=after)
    with pytest.raises(StoppedError):
        library.restore_swing(filled.swing.id)
    library.close()
    monkeypatch.undo()

    with Library.open(library.folder) as again:
        assert again.check(Quiet()).sound
        assert again.swings(filled.lesson.id) == ((filled.swing,) if after else ())
        assert len(again.trash()) == (0 if after else 1)
        kept = again.swing_path(filled.swing.id) if after else library.folder
        assert not (kept / "trashed.json").exists()


def test_a_move_that_is_refused_leaves_the_swing(
    library: Library, filled: Filled, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = files_below(library.folder)

    def refuse(_: Path, target: Path) -> None:
        raise OutputError(f"{target} is refused.", try_next="Wait.")

    monkeypatch.setattr(trash, "move_folder", refuse)
    with pytest.raises(OutputError):
        library.trash_swing(filled.swing.id)

    assert library.swings(filled.lesson.id) == (filled.swing,)
    assert files_below(library.folder) == before
    assert library.check(Quiet()).sound


def test_what_can_not_be_understood_in_the_trash_is_named_by_a_check(
    library: Library, filled: Filled
) -> None:
    library.trash_swing(filled.swing.id)
    (library.folder / "trash" / filled.swing.id / "trashed.json").write_bytes(b"{")
    (library.folder / "trash" / "stray").mkdir()

    report = library.check(Quiet())

    assert [path.name for path in report.of(Problem.UNREADABLE)] == sorted(
        [filled.swing.id, "stray"]
    )
    assert library.trash() == ()
    assert library.restore_swing(filled.swing.id) == filled.swing


def test_a_note_in_the_trash_names_nobody(library: Library, filled: Filled) -> None:
    library.trash_swing(filled.swing.id)

    text = (library.folder / "trash" / filled.swing.id / "trashed.json").read_text("utf-8")

    assert filled.student.name not in text
    assert set(Trashed.__slots__) == {"id", "student_id", "lesson_id", "trashed_at"}
    assert LessonId(filled.lesson.id) in text
