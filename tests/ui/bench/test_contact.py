"""The coach says which picture shows contact; it is asked of which angle, and can be taken back."""

from __future__ import annotations

from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Side
from capturestation.records import SyncSource, View
from capturestation.ui.bench.place import BenchPlace
from tests.helpers.seen_swings import MS
from tests.helpers.station_library import Filled

SLOW_MS = 20_000


def opened(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    place.look_at(filled.today.id)
    qtbot.waitUntil(lambda: place.swing == filled.today.id and place.is_settled)


def rested(place: BenchPlace, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not place.workers.jobs and place.is_settled, timeout=SLOW_MS)


def source(place: BenchPlace, view: View) -> SyncSource:
    seen = place.state.now
    assert seen is not None
    sync = seen.swing.sync(view)
    assert sync is not None
    return sync.source


def test_of_two_angles_it_is_asked_which(place: BenchPlace, qtbot: QtBot, filled: Filled) -> None:
    opened(place, qtbot, filled)
    menu = place.contact.menu()

    words = [action.text() for action in menu.actions()]
    assert len(words) == 2
    assert "face-on" in words[0]
    assert "down-the-line" in words[1]


def test_of_the_angle_alone_it_is_said_at_once_shown_and_taken_back(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    opened(place, qtbot, filled)
    before = place.library.swing(filled.today.id).book
    place.state.show_alone(View.FACE_ON)
    place.state.transport.drag(150 * MS)
    said: list[str] = []
    place.says.connect(said.append)

    place.commands()["bench.contact"]()
    rested(place, qtbot)
    shown = place.state.shown((Side.NOW, View.FACE_ON))

    assert source(place, View.FACE_ON) is SyncSource.HAND
    assert place.state.transport.at_ns == 0
    assert shown is not None
    assert abs(shown.at_ns) < MS
    assert said
    place.steps.undo()
    rested(place, qtbot)
    assert place.library.swing(filled.today.id).book == before
    assert source(place, View.FACE_ON) is not SyncSource.HAND


def test_the_menu_of_impact_leads_there_too(
    place: BenchPlace, qtbot: QtBot, filled: Filled
) -> None:
    opened(place, qtbot, filled)
    place.state.show_alone(View.DOWN_THE_LINE)
    place.bar.asked_contact.emit()
    rested(place, qtbot)

    assert source(place, View.DOWN_THE_LINE) is SyncSource.HAND


def test_on_an_empty_bench_nothing_happens(place: BenchPlace) -> None:
    place.commands()["bench.contact"]()

    assert place.contact.views == ()
    assert not place.workers.jobs
