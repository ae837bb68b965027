"""Whose version stands is chosen for all, and for single ids by their first signs."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, NotFoundError
from capturestation.library import Library, Side
from capturestation.records import Quiet
from capturestation.station.merging import Choices, merge
from tests.helpers.library_records import Filled, fill


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[tuple[Library, Filled, Path]]:
    """The bay's book, and a copy in which the student and the swing were changed."""
    with Library.open(tmp_path / "bay") as library:
        filled = fill(library, tmp_path / "originals")
        shutil.copytree(library.folder, tmp_path / "laptop")
        with Library.open(tmp_path / "laptop") as far:
            far.save_student(replace(filled.student, notes="far"))
            far.save_book(replace(filled.swing.book, notes="far"))
        yield library, filled, tmp_path / "laptop"


@pytest.mark.parametrize(
    ("take", "student", "swing"),
    [(Side.OURS, "", "felt easy"), (Side.THEIRS, "far", "far")],
)
def test_one_side_is_taken_for_all(
    bay: tuple[Library, Filled, Path], take: Side, student: str, swing: str
) -> None:
    library, filled, laptop = bay

    report = merge(library, laptop, Choices(take=take), Quiet())

    assert len(report.conflicts) == 2
    assert library.student(filled.student.id).notes == student
    assert library.swing(filled.swing.id).book.notes == swing


@pytest.mark.parametrize("take", Side)
def test_single_ids_go_the_other_way(bay: tuple[Library, Filled, Path], take: Side) -> None:
    library, filled, laptop = bay
    start = filled.swing.id[:6].upper()
    named = Choices(
        take=take,
        ours=[start] if take is Side.THEIRS else [],
        theirs=[start] if take is Side.OURS else [],
    )

    merge(library, laptop, named, Quiet())

    assert (library.student(filled.student.id).notes == "far") is (take is Side.THEIRS)
    assert (library.swing(filled.swing.id).book.notes == "far") is (take is Side.OURS)


def test_an_id_that_is_in_no_conflict_is_refused_and_nothing_is_merged(
    bay: tuple[Library, Filled, Path],
) -> None:
    library, filled, laptop = bay

    with pytest.raises(NotFoundError, match="'zzzz'"):
        merge(library, laptop, Choices(take=Side.THEIRS, ours=["zzzz"]), Quiet())

    assert library.swing(filled.swing.id) == filled.swing


def test_one_id_can_not_be_named_for_both() -> None:
    with pytest.raises(BadInputError, match="for ours and for theirs"):
        Choices(ours=["a"], theirs=["a"])
