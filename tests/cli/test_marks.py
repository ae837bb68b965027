"""A mark by command moves the measures too, as it does in the window."""

from __future__ import annotations

import pytest

from capturestation.library import Library
from capturestation.records import Moment, Swing
from capturestation.station.cache import cache_of
from capturestation.station.measuring_again import NOT_AGAIN
from capturestation.station.seen_tracks import keep_tracks, tracks_file
from tests.cli.conftest import Typed
from tests.helpers.seen_tracks import tracks_of
from tests.helpers.station_library import Filled

AT_S = {Moment.SET: "-1.2", Moment.TOP: "-0.27", Moment.FINISH: "0.6"}


@pytest.fixture
def seen(typed: Typed, filled: Filled) -> Typed:
    """Types at a library whose newest swing was looked through."""
    with Library.open(filled.folder) as library:
        swing = library.swing(filled.today.id)
        keep_tracks(cache_of(library).made_folder(swing.id), tracks_of(swing))
    return typed


def now(filled: Filled) -> Swing:
    with Library.open(filled.folder) as library:
        return library.swing(filled.today.id)


def value(filled: Filled, name: str = "pelvis turn, top") -> float | None:
    found = [r.measured for r in now(filled).book.results if r.name == name]
    return None if not found or found[0] is None else found[0].value


def test_what_is_marked_is_measured_there(seen: Typed, filled: Filled) -> None:
    for moment, at_s in AT_S.items():
        assert seen("marks", "set", "latest", moment, "--at", at_s).code == 0
    first = value(filled)
    seen("marks", "set", "latest", "top", "--at", "-0.7")

    moved = value(filled)
    seen("marks", "none", "latest", "top")

    assert first is not None
    assert moved is not None
    assert abs(moved - first) > 5.0
    assert value(filled) is None


def test_a_mark_taken_away_is_measured_where_it_was_found(seen: Typed, filled: Filled) -> None:
    seen("marks", "find", "latest")
    found = value(filled)
    seen("marks", "set", "latest", "top", "--at", "-0.7")
    moved = value(filled)

    assert seen("marks", "clear", "latest", "top").code == 0

    assert found is not None
    assert moved != found
    assert value(filled) == found


def test_moments_are_found_again_from_what_was_seen(seen: Typed, filled: Filled) -> None:
    assert seen("marks", "find", "latest").code == 0

    assert {m.moment for m in now(filled).book.marks} >= {Moment.TOP, Moment.LEAD_ARM_LEVEL_DOWN}


def test_contact_by_hand_keeps_the_moments_of_body_and_club(seen: Typed, filled: Filled) -> None:
    seen("marks", "find", "latest")

    assert seen("offset", "latest", "face-on", "--contact-at", "1.3").code == 0

    assert Moment.LEAD_ARM_LEVEL_DOWN in {m.moment for m in now(filled).book.marks}
    assert value(filled) is not None


def test_without_tracks_it_says_that_values_are_older(seen: Typed, filled: Filled) -> None:
    seen("marks", "find", "latest")
    with Library.open(filled.folder) as library:
        tracks_file(cache_of(library).folder(filled.today.id)).unlink()

    done = seen("marks", "set", "latest", "top", "--at", "-0.7")

    assert done.code == 0
    assert NOT_AGAIN in done.err
    assert NOT_AGAIN not in done.out


def test_nothing_is_said_of_a_swing_that_was_never_measured(typed: Typed) -> None:
    done = typed("marks", "set", "latest", "top", "--at", "-0.7")

    assert done.err == ""
