"""What is odd about how a swing was filmed is said beside the measures, and put right there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.records import View
from capturestation.station.models import BodyModel
from capturestation.station.seen_tracks import keep_tracks
from capturestation.swing.tracks import Company
from capturestation.ui.bench import seeing as module
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.seeing import Seeing
from tests.helpers.seen_tracks import tracks_of
from tests.helpers.station_library import Filled

MODEL = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")


@pytest.fixture
def seeing(
    place: BenchPlace, filled: Filled, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> Iterator[Seeing]:
    """Today's swing on the Bench."""
    monkeypatch.setattr(module, "body_model", lambda: MODEL)
    made = Seeing(place)
    place.look_at(filled.today.id)
    qtbot.waitUntil(lambda: place.swing == filled.today.id, timeout=10_000)
    yield made
    made.close_seeing()


def test_exchanged_views_are_said_and_exchanged_by_a_word_that_can_be_taken_back(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library, qtbot: QtBot
) -> None:
    swing = library.swing(filled.today.id)
    wrong = {view.across: one for view, one in tracks_of(swing).items()}
    keep_tracks(place.cache.made_folder(swing.id), wrong)
    seeing.commands()["measures.panel"]()
    qtbot.waitUntil(lambda: seeing.panel.exchange.isVisible(), timeout=10_000)
    said = seeing.panel.odd.text()

    seeing.panel.exchange.click()
    qtbot.waitUntil(lambda: place.steps.undo_words == "exchange of the two views", timeout=20_000)
    exchanged = library.swing(swing.id)
    qtbot.waitUntil(lambda: seeing.panel.exchange.isHidden(), timeout=20_000)
    place.steps.undo()

    assert said.startswith("The two views look exchanged")
    assert exchanged.book.exchanged
    assert not library.swing(swing.id).book.exchanged
    qtbot.waitUntil(lambda: seeing.panel.exchange.isVisible(), timeout=20_000)


def test_a_view_on_its_side_is_said_and_set_upright_by_a_word(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library, qtbot: QtBot
) -> None:
    swing = library.swing(filled.today.id)
    lies = {
        view: replace(one, company=Company(lies_deg=90 if view is View.FACE_ON else 0))
        for view, one in tracks_of(swing).items()
    }
    keep_tracks(place.cache.made_folder(swing.id), lies)
    seeing.commands()["measures.panel"]()
    qtbot.waitUntil(lambda: seeing.panel.upright.isVisible(), timeout=10_000)
    said = seeing.panel.odd.text()

    seeing.panel.upright.click()
    qtbot.waitUntil(lambda: place.swing not in (None, swing.id), timeout=20_000)
    now = place.state.now
    place.steps.undo()

    assert said.startswith("The golfer lies across the face-on picture")
    assert now is not None
    turned, old = now.swing.recording(View.FACE_ON), swing.recording(View.FACE_ON)
    assert turned is not None
    assert old is not None
    assert (turned.width_px, turned.height_px) == (old.height_px, old.width_px)
    qtbot.waitUntil(lambda: place.swing == swing.id, timeout=20_000)
    assert library.swing(swing.id).facts == swing.facts
