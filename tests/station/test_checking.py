from __future__ import annotations

import pytest

from capturestation.errors import CancelledError
from capturestation.library import Library
from capturestation.records import Quiet, StopAfter, Student, View
from capturestation.station import checking
from tests.helpers.bay_files import Pair
from tests.helpers.library_records import files_below
from tests.helpers.station_library import taken_in


def test_a_whole_library_is_sound(library: Library, student: Student, first_swing: Pair) -> None:
    taken_in(library, student, first_swing)

    report = checking.check(library, Quiet())

    assert (report.sound, report.swings, report.files) == (True, 1, 2)


def test_a_file_that_changed_is_named(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)
    path = library.media_path(swing, View.FACE_ON)
    path.write_bytes(path.read_bytes()[:-1] + b"?")

    report = checking.check(library, Quiet())

    assert [finding.path for finding in report.findings] == [path]


def test_the_rows_come_back_from_the_folders(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)
    folder = library.folder
    library.close()
    before = files_below(folder)
    (folder / "library.sqlite").unlink()

    report = checking.rebuild(folder, Quiet())

    assert (report.students, report.lessons, report.swings, report.left) == (1, 1, 1, ())
    assert files_below(folder) == before
    with Library.open(folder) as again:
        assert again.latest_swing() == swing
        assert again.students() == (student,)


def test_a_stopped_rebuild_leaves_the_old_rows(
    library: Library, student: Student, first_swing: Pair
) -> None:
    swing = taken_in(library, student, first_swing)
    folder = library.folder
    library.close()

    with pytest.raises(CancelledError):
        checking.rebuild(folder, StopAfter(0.5))

    with Library.open(folder) as again:
        assert again.latest_swing() == swing
