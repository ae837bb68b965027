"""A child's family name never goes along with pictures."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

from capturestation.errors import BadInputError
from capturestation.library import Library
from capturestation.station import people
from capturestation.station.nameless import is_child, refuse_child_named
from tests.helpers.station_library import NAME, Filled


@pytest.fixture
def library(filled: Filled) -> Iterator[Library]:
    with Library.open(filled.folder) as opened:
        yield opened


def is_eleven(library: Library) -> None:
    people.change_student(library, NAME, {"birth_year": people.today().year - 11})


@pytest.mark.parametrize("text", ["Well done, Zoë Ångström!", "the ångström way", "ÅNGSTRÖM"])
def test_a_family_name_of_a_child_is_refused(library: Library, filled: Filled, text: str) -> None:
    is_eleven(library)

    with pytest.raises(BadInputError, match="under 18"):
        refuse_child_named(library, filled.today, ["turn", text])


def test_a_first_name_may_stay_and_so_may_other_words(library: Library, filled: Filled) -> None:
    is_eleven(library)

    refuse_child_named(library, filled.today, ["Zoë, turn more", "", "Ångströmlike"])

    assert is_child(library, filled.today)


def test_of_a_grown_up_any_name_may_stand(library: Library, filled: Filled) -> None:
    refuse_child_named(library, filled.today, [NAME])

    assert not is_child(library, filled.today)


def test_without_a_year_of_birth_somebody_counts_as_a_child(
    library: Library, filled: Filled
) -> None:
    student = library.student(filled.today.book.student_id)
    library.change_student(student.id, lambda now: replace(now, birth_year=None))

    with pytest.raises(BadInputError):
        refuse_child_named(library, filled.today, [NAME])
