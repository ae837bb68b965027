"""The stick over the mark, by command: a reading, as text and JSON, or why there is none."""

from __future__ import annotations

import pytest

from capturestation.station.cache import cache_of
from capturestation.station.places import open_library
from tests.cli.conftest import Typed
from tests.helpers.looked_at import Room
from tests.helpers.station_library import Filled
from tests.station.test_stick_check import keep_seen


@pytest.fixture
def looked_through(filled: Filled, typed: Typed) -> Filled:
    """The filled library, today's swing looked through."""
    with open_library(filled.folder) as library:
        cache = cache_of(library)
        keep_seen(
            Room(library=library, cache=cache, swing_id=filled.today.id, other_id=filled.best.id)
        )
    return filled


@pytest.mark.usefixtures("looked_through")
def test_a_stick_is_read(typed: Typed) -> None:
    done = typed("checks", "stick", "--at", "-0.28")
    as_json = typed("checks", "stick", "--at", "-0.28", "--turned", "10", "--json")

    assert (done.code, done.err) == (0, "")
    assert done.out.startswith(
        "The stick lies at 45 deg closed.\nBy pictures the hips are read as "
    )
    assert isinstance(as_json.value, dict)
    assert as_json.value["mark_deg"] == 10.0


def test_without_an_analysis_it_says_what_to_do(typed: Typed) -> None:
    done = typed("checks", "stick")

    assert done.code == 5
    assert "Analyse it first" in done.err
