"""A result must not be written where the library keeps its own."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.errors import OutputError
from capturestation.library import Library
from capturestation.station.places import refuse_inside


def test_a_file_beside_the_library_is_allowed(library: Library, tmp_path: Path) -> None:
    refuse_inside(library, tmp_path / "clip.mp4")
    refuse_inside(library, library.folder.with_name(library.folder.name + " clips") / "clip.mp4")


@pytest.mark.parametrize("name", ["clip.mp4", "library.sqlite", "no such/clip.mp4", "a/../b.mp4"])
def test_a_file_in_the_library_is_refused_by_any_name(
    library: Library, tmp_path: Path, name: str
) -> None:
    linked = tmp_path / "linked"
    linked.symlink_to(library.folder)

    for folder in (library.folder, linked, tmp_path / "x" / ".." / library.folder.name):
        with pytest.raises(OutputError, match="inside the library"):
            refuse_inside(library, folder / name)


def test_where_the_rows_lie_apart_their_folder_is_refused_too(tmp_path: Path) -> None:
    with Library.open(tmp_path / ("deep" * 50) / ("deep" * 50) / "l" / ("deep" * 40)) as library:
        assert library.housing.rows != library.folder

        with pytest.raises(OutputError, match="inside the library"):
            refuse_inside(library, library.housing.rows / "clip.mp4")
