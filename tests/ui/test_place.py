"""A place that does nothing of its own is still a place."""

from __future__ import annotations

from pathlib import Path

from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.records import SwingId
from capturestation.station.undo import UndoList
from capturestation.ui.look import Look
from capturestation.ui.place import Place
from capturestation.ui.places import place_kinds
from capturestation.ui.work import Workers


def test_a_place_without_swings_pictures_or_keys_is_left_in_peace(
    qtbot: QtBot, folder: Path, workers: Workers, look: Look
) -> None:
    with Library.open(folder) as library:
        place = Place(library, workers, look, UndoList())
        qtbot.addWidget(place)

        place.look_at(SwingId("none"))
        place.restore({"unknown": "thing"})
        place.refresh()

        assert place.commands() == {}
        assert place.swing is None
        assert place.tv() is None
        assert place.kept() == {}
        assert not place.leave()


def test_each_place_has_its_own_word(
    qtbot: QtBot, folder: Path, workers: Workers, look: Look
) -> None:
    with Library.open(folder) as library:
        places = [kind(library, workers, look, UndoList()) for kind in place_kinds()]
        for place in places:
            qtbot.addWidget(place)

        assert len({place.key for place in places}) == len(places)
