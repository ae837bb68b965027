"""Which library is meant, what helps where it can't be opened, and the invented one."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import (
    BadInputError,
    CancelledError,
    LibraryError,
    NotFoundError,
    OutputError,
    StationError,
)
from capturestation.library import Library
from capturestation.records import Quiet, Watch
from capturestation.station import opening
from capturestation.station.opening import (
    Way,
    chosen_library,
    make_sample,
    rebuilt,
    sample_library,
    ways_on,
)
from capturestation.station.places import default_library
from tests.helpers.station_library import Filled


def test_what_is_asked_for_goes_before_the_last_and_the_usual_one(tmp_path: Path) -> None:
    assert chosen_library(tmp_path, "last") == tmp_path
    assert chosen_library(None, "last") == Path("last")
    assert chosen_library(None, "") == default_library()


@pytest.mark.parametrize(
    ("error", "first"),
    [
        (NotFoundError("There is no library.", try_next="Begin one."), Way.BEGIN),
        (LibraryError("Damaged.", try_next="Rebuild the library from its folders."), Way.REBUILD),
        (LibraryError("In use.", try_next="Close the other program."), Way.AGAIN),
        (OutputError("No room.", try_next="Free some space."), Way.AGAIN),
        (CancelledError(), Way.AGAIN),
        (BadInputError("Not a folder.", try_next="Choose another."), Way.AGAIN),
    ],
)
def test_the_likeliest_help_comes_first_and_another_folder_always_helps(
    error: StationError, first: Way
) -> None:
    ways = ways_on(error)

    assert ways[0] is first
    assert Way.CHOOSE in ways
    assert len(set(ways)) == len(ways)


def test_a_library_with_a_damaged_database_offers_its_rebuild_and_opens_after_it(
    filled: Filled,
) -> None:
    rows = filled.folder / "library.sqlite"
    rows.write_bytes(b"no database at all" * 100)
    with pytest.raises(LibraryError) as caught:
        Library.open(filled.folder)

    report = rebuilt(filled.folder, Quiet())

    assert ways_on(caught.value)[0] is Way.REBUILD
    assert report.swings == 2
    with Library.open(filled.folder) as library:
        assert library.swing(filled.today.id).id == filled.today.id


def test_the_invented_library_is_made_whole_and_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Path] = []

    def fill(library: Library, watch: Watch) -> None:
        watch.report(0.5, "half")
        made.append(library.folder)

    monkeypatch.setattr(opening, "fill_with_session", fill)
    folder = tmp_path / "data" / "invented library"

    first = make_sample(folder, Quiet())
    second = make_sample(folder, Quiet())

    assert first == second == folder
    assert len(made) == 1
    assert [path.name for path in folder.parent.iterdir()] == [folder.name]
    Library.open(folder, create=False).close()


def test_a_stopped_invented_library_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(_library: Library, _watch: Watch) -> None:
        raise CancelledError

    monkeypatch.setattr(opening, "fill_with_session", fill)
    folder = tmp_path / "data" / "invented library"

    with pytest.raises(CancelledError):
        make_sample(folder, Quiet())

    assert list(folder.parent.iterdir()) == []


def test_the_invented_library_lies_beside_the_real_one() -> None:
    assert sample_library().parent == default_library().parent
    assert sample_library() != default_library()
