"""Views named the other way round: the book says so, the kept facts stay as they were written."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.folders import FACTS_FILE
from capturestation.library import Library, merge_library, rebuild
from capturestation.records import Quiet, Swing, View
from tests.helpers.library_records import fill

BOTH = (View.FACE_ON, View.DOWN_THE_LINE)


@pytest.fixture
def exchanged(tmp_path: Path, originals: Path) -> tuple[Path, Swing, Swing]:
    """A library's folder, and its swing before and after."""
    with Library.open(tmp_path / "library") as library:
        before = fill(library, originals).swing
        after = library.change_book(before.id, lambda book: replace(book, exchanged=True))
        return library.folder, before, after


def files(swing: Swing) -> dict[View, str]:
    return {recording.view: recording.file for recording in swing.facts.recordings}


def test_each_view_shows_the_other_file_and_the_facts_stay(
    exchanged: tuple[Path, Swing, Swing],
) -> None:
    folder, before, after = exchanged

    assert [r.view for r in before.facts.recordings] == [r.view for r in after.facts.recordings]
    assert files(after) == dict(zip(BOTH, [files(before)[v] for v in reversed(BOTH)], strict=True))
    assert after.kept_facts == before.facts
    with Library.open(folder) as library:
        for view in BOTH:
            assert library.media_path(after, view).name == f"{view.across}.mp4"
        assert library.swing(after.id) == after


def test_it_holds_after_a_rebuild_and_nothing_is_found_wrong(
    exchanged: tuple[Path, Swing, Swing],
) -> None:
    folder, _, after = exchanged

    rebuild(folder, Quiet())

    with Library.open(folder) as library:
        assert library.swing(after.id) == after
        assert library.check(Quiet()).findings == ()


def test_it_holds_through_the_trash(exchanged: tuple[Path, Swing, Swing]) -> None:
    folder, _, after = exchanged

    with Library.open(folder) as library:
        library.trash_swing(after.id)
        thrown = library.trashed_swing(after.id)
        library.restore_swing(after.id)

        assert thrown == after
        assert library.swing(after.id) == after


def test_done_again_all_is_as_before(exchanged: tuple[Path, Swing, Swing]) -> None:
    folder, before, after = exchanged

    with Library.open(folder) as library:
        assert library.save_book(replace(after.book, exchanged=False)) == before


def test_another_library_takes_it_as_it_is(
    exchanged: tuple[Path, Swing, Swing], tmp_path: Path
) -> None:
    folder, before, after = exchanged
    path = next(folder.glob(f"swings/*/*/{after.id}/{FACTS_FILE}"))

    with Library.open(tmp_path / "other") as library:
        merge_library(library, folder, Quiet())
        taken = library.swing(after.id)
        copied = next(library.folder.glob(f"swings/*/*/{after.id}/{FACTS_FILE}"))

    assert taken == after
    assert taken.kept_facts == before.facts
    assert copied.read_bytes() == path.read_bytes()
