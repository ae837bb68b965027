"""A library whose student said yes to clips, on a screen of its own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Consent, Giver, Purpose
from capturestation.station import people
from tests.helpers.library_records import DAY
from tests.helpers.real_window import Screen, need_real_windows, screen
from tests.helpers.station_library import Filled


@pytest.fixture
def shared(filled: Filled) -> Filled:
    """A library of a student whose clips may be handed on."""
    yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    with Library.open(filled.folder) as library:
        people.answer_consent(library, filled.today.book.student_id, yes)
    return filled


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Screen]:
    """A screen; programs on it keep their state and small files below the test's own folder."""
    need_real_windows()
    state = tmp_path / "screen"
    state.mkdir()
    with screen(state) as made:
        small = state / "small"
        small.mkdir()
        made.env["TMPDIR"] = str(small)
        yield made
