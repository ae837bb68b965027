"""A swing's folder is complete under its own name or not there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, LibraryError, NotReadableError, OutputError
from capturestation.folders import (
    SwingFolder,
    check_id,
    read_book,
    read_swing_facts,
    recording_name,
    write_book,
    write_document,
    write_swing_facts,
)
from capturestation.records import Quiet, StopAfter, View, Watch
from tests.helpers.library_records import Struck, a_lesson, a_struck_swing, a_student, files_below


@pytest.fixture
def struck(tmp_path: Path) -> Struck:
    """A swing to build a folder of."""
    return a_struck_swing(tmp_path / "originals", a_lesson(a_student()))


def build(final: Path, struck: Struck, afterwards: Watch | None = None) -> None:
    """Build a folder by the book; `afterwards` is reported to when it has its name."""
    with SwingFolder(final) as building:
        for recording in struck.facts.recordings:
            building.add_copy(struck.media[recording.view], recording.file, Quiet())
        building.add_book(struck.book)
        building.seal(struck.facts)
        building.publish()
        (afterwards or Quiet()).report(1.0, "published")


def test_a_built_folder_gives_back_facts_book_and_bytes(tmp_path: Path, struck: Struck) -> None:
    final = tmp_path / "swings" / struck.facts.id

    build(final, struck)

    assert read_swing_facts(final) == struck.facts
    assert read_book(final) == struck.book
    kept = files_below(final)
    assert sorted(kept) == ["book.json", "down-the-line.mp4", "face-on.mp4", "swing.json"]
    assert kept["face-on.mp4"] == struck.media[View.FACE_ON].read_bytes()
    assert list(final.parent.iterdir()) == [final]


def test_files_written_straight_into_the_partial_folder_count_too(
    tmp_path: Path, struck: Struck
) -> None:
    final = tmp_path / "inbox" / struck.facts.id

    with SwingFolder(final) as building:
        for recording in struck.facts.recordings:
            data = struck.media[recording.view].read_bytes()
            (building.path / recording.file).write_bytes(data)
            building.add_made(recording.file, Quiet())
        building.seal(struck.facts)
        building.publish()

    assert read_swing_facts(final) == struck.facts


def test_leaving_before_the_end_leaves_nothing(tmp_path: Path, struck: Struck) -> None:
    final = tmp_path / "swings" / struck.facts.id

    with SwingFolder(final) as building:
        building.add_book(struck.book)

    assert list(final.parent.iterdir()) == []


def test_a_cancel_leaves_nothing(tmp_path: Path, struck: Struck) -> None:
    final = tmp_path / "swings" / struck.facts.id

    with pytest.raises(CancelledError), SwingFolder(final) as building:
        building.add_copy(struck.media[View.FACE_ON], "face-on.mp4", StopAfter(1.0))

    assert list(final.parent.iterdir()) == []


def test_an_error_after_the_name_was_given_takes_the_folder_away(
    tmp_path: Path, struck: Struck
) -> None:
    final = tmp_path / "swings" / struck.facts.id

    with pytest.raises(CancelledError):
        build(final, struck, StopAfter(0.0))

    assert list(final.parent.iterdir()) == []


def test_a_file_with_other_bytes_than_the_facts_say_is_refused(
    tmp_path: Path, struck: Struck
) -> None:
    final = tmp_path / "swings" / struck.facts.id
    struck.media[View.FACE_ON].write_bytes(b"other")

    with pytest.raises(NotReadableError, match=r"face-on\.mp4 changed"):
        build(final, struck)

    assert list(final.parent.iterdir()) == []


def test_a_name_in_use_is_refused_and_stands(tmp_path: Path, struck: Struck) -> None:
    final = tmp_path / "swings" / struck.facts.id
    build(final, struck)
    before = files_below(final)

    with pytest.raises(OutputError, match="already there"):
        build(final, struck)

    assert files_below(final) == before


def test_the_facts_are_written_once_and_the_book_as_often_as_wanted(
    tmp_path: Path, struck: Struck
) -> None:
    write_swing_facts(tmp_path, struck.facts)
    write_book(tmp_path, struck.book)
    starred = replace(struck.book, starred=True)

    write_book(tmp_path, starred)
    with pytest.raises(OutputError, match="already there"):
        write_swing_facts(tmp_path, replace(struck.facts, made_by="other"))

    assert read_book(tmp_path) == starred
    assert read_swing_facts(tmp_path) == struck.facts


@pytest.mark.parametrize(
    "name",
    [
        *("../face-on.mp4", "/etc/a", "a\\b.mp4", "swing.json", "Book.json", "", ".a"),
        *("con.mp4", "COM1", "lpt9.mov", "nul.tar.gz", "a.mp4.", "a.mp4 ", "a:b.mp4", "a?.mp4"),
    ],
)
def test_facts_that_name_a_file_elsewhere_are_refused(
    tmp_path: Path, struck: Struck, name: str
) -> None:
    recording = replace(struck.facts.recordings[0], file=name)
    facts = replace(struck.facts, recordings=(recording,))
    write_document(tmp_path / "swing.json", "swing", facts)

    with pytest.raises(LibraryError, match="not a plain file name"):
        read_swing_facts(tmp_path)
    with pytest.raises(ValueError, match="not a plain file name"):
        write_swing_facts(tmp_path / "other", facts)


def test_two_recordings_must_not_share_a_file(tmp_path: Path, struck: Struck) -> None:
    first, second = struck.facts.recordings
    same = (replace(first, file="A.mp4"), replace(second, file="a.mp4"))

    with pytest.raises(ValueError, match="share a file name"):
        write_swing_facts(tmp_path, replace(struck.facts, recordings=same))

    assert list(tmp_path.glob("*.json")) == []


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ("Clip 7.MOV", "face-on.mov"),
        ("a.b.mp4", "face-on.mp4"),
        ("noending", "face-on"),
        (".hidden", "face-on"),
        ("x.m p4", "face-on"),
        ("x.ünï", "face-on"),
    ],
)
def test_a_recording_is_named_by_its_view_and_keeps_a_plain_ending(source: str, name: str) -> None:
    assert recording_name(View.FACE_ON, source) == name


@pytest.mark.parametrize("key", ["../x", "", "A", "nul", "com1", "x" * 65, "-x", "a b", "a."])
def test_an_id_that_must_not_be_a_path_is_our_bug(tmp_path: Path, key: str) -> None:
    with pytest.raises(ValueError, match="an id is"):
        check_id(key)
    with pytest.raises(ValueError, match="an id is"):
        SwingFolder(tmp_path / "A b")

    assert list(tmp_path.iterdir()) == []
