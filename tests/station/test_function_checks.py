"""The coach's list lies in the library, and is asked of a swing."""

from __future__ import annotations

import pytest

from capturestation.errors import BadInputError, NotFoundError
from capturestation.library import Library
from capturestation.station.function_checks import FILE, asked_of, change_check, checks_of
from capturestation.swing.checks import Verdict, usual_checks
from tests.helpers.looked_at import Room


def test_a_new_library_begins_with_the_usual_list(library: Library) -> None:
    assert checks_of(library) == usual_checks()
    assert not (library.places.root / FILE).exists()


def test_a_change_stays_and_touches_nothing_else(library: Library) -> None:
    change_check(library, "pelvis back", on=False, high=20.0)

    first, *_ = [one for one in checks_of(library) if one.name == "pelvis back to square"]
    assert (first.on, first.low, first.high) == (False, -15.0, 20.0)
    others = [one for one in checks_of(library) if one.name != first.name]
    assert others == [one for one in usual_checks() if one.name != first.name]


@pytest.mark.parametrize("name", ["nothing like it", "p"])
def test_an_unclear_name_lists_what_there_is(library: Library, name: str) -> None:
    with pytest.raises(NotFoundError, match="checks begin") as caught:
        change_check(library, name, on=False)

    assert "pelvis" in caught.value.try_next
    assert not (library.places.root / FILE).exists()


def test_limits_that_contradict_each_other_are_refused(library: Library) -> None:
    with pytest.raises(BadInputError, match="limit"):
        change_check(library, "pelvis back", low=50.0)

    assert checks_of(library) == usual_checks()


def test_a_damaged_list_is_told_and_left_alone(library: Library) -> None:
    path = library.places.root / FILE
    path.write_text("name,measure\n", encoding="utf-8")

    with pytest.raises(BadInputError, match="can't be read"):
        checks_of(library)

    assert path.read_text(encoding="utf-8") == "name,measure\n"


def test_a_swing_that_was_not_measured_cannot_be_told(looked_at: Room) -> None:
    found = asked_of(looked_at.library, looked_at.library.swing(looked_at.swing_id))

    assert len(found) == len(usual_checks())
    assert {one.verdict for one in found} == {Verdict.CANNOT_TELL}
