"""Everything of a person in one zip, whole or not at all, and nothing of anybody else."""

from __future__ import annotations

import csv
import json
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, NotFoundError, OutputError
from capturestation.library import Library
from capturestation.records import Measured, Quiet, Result, StopAfter, View
from capturestation.station import people
from capturestation.station.given_out import GivenOut, give_out
from capturestation.station.taking_in import Ticket, ticket_text
from tests.helpers.bay_files import Pair
from tests.helpers.inbox_balls import left_ball
from tests.helpers.small_disk import files_up_to
from tests.helpers.station_library import NAME, Filled, everything_in


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def given(library: Library, out: Path) -> GivenOut:
    return give_out(library, NAME, out, Quiet())


def test_the_recordings_are_in_it_byte_for_byte_and_all_facts(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    people.change_student(library, NAME, {"notes": "my note", "limits_today": "hip"})

    report = given(library, tmp_path / "all.zip")

    with zipfile.ZipFile(report.path) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        assert len(names) == len(set(names)) == report.files
        day = filled.today.facts.struck_at.date()
        for recording in filled.today.facts.recordings:
            inside = archive.read(f"swings/{day}-{filled.today.id}/{recording.file}")
            assert inside == library.media_path(filled.today, recording.view).read_bytes()
        person = archive.read("person.json").decode()
        assert "my note" in person
        assert "hip" in person
        for name in names:
            if name.endswith(".json"):
                json.loads(archive.read(name))
    assert (report.swings, report.lessons) == (2, 1)
    assert report.size_bytes == report.path.stat().st_size


def test_a_swing_in_the_trash_is_in_it_too(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    library.trash_swing(filled.best.id)

    report = given(library, tmp_path / "all.zip")

    with zipfile.ZipFile(report.path) as archive:
        thrown = [name for name in archive.namelist() if name.startswith("thrown-away/")]
    assert any(name.endswith("face-on.mp4") for name in thrown)
    assert report.swings == 2


def test_balls_that_wait_for_the_student_s_lessons_are_in_it_too(
    library: Library, filled: Filled, first_swing: Pair, tmp_path: Path
) -> None:
    ticket = ticket_text(Ticket(lesson=filled.today.book.lesson_id, club="7 iron"))
    left_ball(library.inbox, {View.FACE_ON: first_swing.face_on}, ticket=ticket)

    report = given(library, tmp_path / "all.zip")

    with zipfile.ZipFile(report.path) as archive:
        recorded = archive.read("not-taken-in/ball/face-on.mp4")
    assert recorded == first_swing.face_on.read_bytes()


def test_measures_are_a_table_with_errors_and_reasons(
    library: Library, filled: Filled, tmp_path: Path
) -> None:
    measured = Measured(value=1.25, unit="s", u_random=0.1)
    results = (Result(name="time back", measured=measured), Result(name="x", why_missing="Hidden."))
    library.change_book(filled.today.id, lambda book: replace(book, results=results))

    report = given(library, tmp_path / "all.zip")

    with zipfile.ZipFile(report.path) as archive:
        rows = list(csv.DictReader(archive.read("measures.csv").decode().splitlines()))
        page = archive.read("read-me.html").decode()
    mine = [row for row in rows if row["swing"] == filled.today.id]
    assert [(row["measure"], row["value"], row["why_missing"]) for row in mine] == [
        ("time back", "1.25", ""),
        ("x", "", "Hidden."),
    ]
    assert NAME in page
    assert "face-on.mp4" in page


def test_nothing_of_anybody_else_is_in_it(library: Library, tmp_path: Path) -> None:
    other = people.add_student(library, name="Bo Berg", birth_year=1970)
    people.add_lesson(library, other.id, focus=("other focus",))

    report = given(library, tmp_path / "all.zip")

    with zipfile.ZipFile(report.path) as archive:
        for name in archive.namelist():
            held = archive.read(name)
            assert other.id.encode() not in held
            assert b"other focus" not in held


@pytest.mark.parametrize("share", [0.0, 0.5])
def test_stopped_it_leaves_nothing_and_the_library_as_it_was(
    library: Library, tmp_path: Path, share: float
) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    before = everything_in(library.folder)

    with pytest.raises(CancelledError):
        give_out(library, NAME, folder / "all.zip", StopAfter(share))

    assert list(folder.iterdir()) == []
    assert everything_in(library.folder) == before


def test_a_full_disk_is_said_of_the_zip_and_nothing_is_left(
    library: Library, tmp_path: Path
) -> None:
    with pytest.raises(OutputError, match="no room left") as refused, files_up_to(20_000):
        given(library, tmp_path / "all.zip")

    assert refused.value.what.endswith(f"write {tmp_path / 'all.zip'}.")
    assert not list(tmp_path.glob("*.zip*"))


def test_what_is_there_stays_and_the_library_is_no_place_for_it(
    library: Library, tmp_path: Path
) -> None:
    (tmp_path / "all.zip").write_bytes(b"mine")

    with pytest.raises(OutputError):
        given(library, tmp_path / "all.zip")
    with pytest.raises(OutputError):
        given(library, library.folder / "all.zip")
    with pytest.raises(OutputError):
        given(library, tmp_path / "no folder" / "all.zip")
    with pytest.raises(NotFoundError):
        give_out(library, "Nobody", tmp_path / "other.zip", Quiet())

    assert (tmp_path / "all.zip").read_bytes() == b"mine"
    assert not (tmp_path / "other.zip").exists()
