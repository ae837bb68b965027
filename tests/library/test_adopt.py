"""Taking in a folder that capture finished: moved whole, or left as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import (
    CancelledError,
    LibraryError,
    NotReadableError,
    OutputError,
    StationError,
)
from capturestation.folders import SwingFolder
from capturestation.library import Library
from capturestation.records import Quiet, StopAfter, Swing
from tests.helpers.library_records import a_lesson, a_struck_swing, a_student, files_below


def inbox_folder(library: Library, originals: Path) -> tuple[Path, Swing]:
    """A finished folder as capture leaves it, and the swing that it becomes."""
    lesson = library.add_lesson(a_lesson(library.add_student(a_student())))
    struck = a_struck_swing(originals, lesson)
    final = library.inbox / struck.facts.id
    with SwingFolder(final) as building:
        for recording in struck.facts.recordings:
            building.add_copy(struck.media[recording.view], recording.file, Quiet())
        building.seal(struck.facts)
        building.publish()
    return final, Swing(facts=struck.facts, book=struck.book)


def test_a_folder_of_the_inbox_is_moved_in(library: Library, originals: Path) -> None:
    source, swing = inbox_folder(library, originals)

    assert library.adopt_folder(source, swing.book, Quiet()) == swing

    assert library.swing(swing.id) == swing
    assert not source.exists()
    assert library.check(Quiet()).sound


@pytest.mark.parametrize("broken", ["cancel", "changed", "facts", "moved"])
def test_a_folder_that_is_not_moved_in_stays_as_it_was(
    library: Library, originals: Path, monkeypatch: pytest.MonkeyPatch, broken: str
) -> None:
    source, swing = inbox_folder(library, originals)
    errors: dict[str, type[StationError]] = {
        "cancel": CancelledError,
        "changed": NotReadableError,
        "facts": LibraryError,
        "moved": OutputError,
    }
    if broken == "changed":
        (source / "face-on.mp4").write_bytes(b"x")
    if broken == "facts":
        (source / "swing.json").write_bytes(b"{")
    if broken == "moved":
        other = library.folder / "swings" / "2026" / "10" / swing.id
        monkeypatch.setattr("capturestation.library.swings.put_swing", lambda *_: _full(other))
    before = files_below(library.folder)

    with pytest.raises(errors[broken]):
        library.adopt_folder(source, swing.book, StopAfter(0.5) if broken == "cancel" else Quiet())

    assert files_below(library.folder) == before
    assert library.swings(swing.book.lesson_id) == ()
    assert library._rows("SELECT * FROM unsettled") == []


def _full(path: Path) -> None:
    raise OutputError(f"No room for {path}.", try_next="")
