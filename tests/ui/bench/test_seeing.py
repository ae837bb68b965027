"""Measures on a Bench: values where we stand, changes that lead there, curves, sticks, jobs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from capturestation.drawing.grid import Cell, Side
from capturestation.errors import CancelledError, StationError
from capturestation.library import Library
from capturestation.records import (
    FrameArray,
    Measured,
    Moment,
    Result,
    Swing,
    SwingBook,
    SwingId,
    View,
    Watch,
    hand_mark,
)
from capturestation.station.comparing import changes
from capturestation.station.intake import with_tempo
from capturestation.station.models import BodyModel
from capturestation.station.seen_tracks import keep_tracks
from capturestation.swing.measuring import METHOD
from capturestation.ui.bench import seeing as module
from capturestation.ui.bench.place import BenchPlace
from capturestation.ui.bench.seeing import MEASURES, Seeing
from tests.helpers.pixels import pixels
from tests.helpers.seen_tracks import tracks_of
from tests.helpers.station_library import Filled

MS = 1_000_000
MOMENTS = {Moment.SET: -700 * MS, Moment.TOP: -270 * MS}
MODEL = BodyModel(path=Path("nowhere"), is_there=True, engine="cv2")
FOCUS = ("pelvis turned back at the top",)


def measured(swing: Swing, values: Mapping[str, float], *, missing: str = "") -> SwingBook:
    """A swing's book with those measures at the top, and one that couldn't be taken."""
    results = [
        Result(
            name=f"{name}, top",
            moment=Moment.TOP,
            measured=Measured(value=value, unit="deg", u_random=1.0, u_systematic=2.0),
            method=METHOD,
        )
        for name, value in values.items()
    ]
    if missing:
        why = "It needs the club there."
        results.append(Result(name=missing, moment=Moment.TOP, why_missing=why, method=METHOD))
    marks = tuple(hand_mark(moment, at_ns, u_ns=MS) for moment, at_ns in MOMENTS.items())
    return replace(swing.book, results=tuple(results), marks=(*swing.book.marks, *marks))


@pytest.fixture
def seeing(
    place: BenchPlace,
    library: Library,
    filled: Filled,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> Iterator[Seeing]:
    """Two swings with measures, laid beside each other; the lesson works on the pelvis."""
    monkeypatch.setattr(module, "body_model", lambda: MODEL)
    now = library.swing(filled.today.id)
    library.save_book(
        measured(
            now,
            {"chest turn": 80.0, "pelvis turn": 48.0, "trail knee bend": 21.0},
            missing="lead arm to shaft, top",
        )
    )
    best = library.swing(filled.best.id)
    library.save_book(measured(best, {"chest turn": 81.0, "pelvis turn": 25.0}))
    made = Seeing(place)
    place.look_at(filled.today.id)
    qtbot.waitUntil(lambda: place.swing == filled.today.id, timeout=10_000)
    place.toggle_earlier()
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)
    made.measures.work_on(FOCUS)
    yield made
    made.close_seeing()


def at_top(place: BenchPlace) -> None:
    place.state.transport.drag(MOMENTS[Moment.TOP])


def painted(seeing: Seeing, place: BenchPlace, cell: Cell) -> FrameArray:
    """What is painted over one picture, on black."""
    at = next(field.place for field in place.canvas.fields if field.cell == cell)
    image = QImage(place.canvas.size(), QImage.Format.Format_RGB32)
    image.fill(0)
    painter = QPainter(image)
    seeing.paint(painter, cell, at)
    painter.end()
    return pixels(image)[..., :3].copy()


def keep_seen(place: BenchPlace, swing: Swing) -> None:
    """Tracks of an invented golfer as if that swing had been looked through."""
    keep_tracks(place.cache.made_folder(swing.id), tracks_of(swing))


def test_the_panel_shows_the_values_of_the_moment_that_is_shown(
    seeing: Seeing, place: BenchPlace, qtbot: QtBot
) -> None:
    seeing.commands()["measures.panel"]()
    at_top(place)

    qtbot.waitUntil(lambda: seeing.panel.where.text() == "At “top”")
    lines = seeing.panel.values_model.lines
    assert [line.name for line in lines] == [
        "pelvis turn",
        "chest turn",
        "trail knee bend",
        "lead arm to shaft",
    ]
    assert lines[0].words == "48° closed ± 4"
    assert lines[0].then_words == "25° closed ± 4"
    qtbot.waitUntil(seeing.measures.is_read, timeout=10_000)
    assert seeing.measures.lines()[0].change_words.startswith("more closed by 23° ± ")
    assert lines[0].is_focus
    assert lines[-1].words == "It needs the club there."


def test_tempo_alone_is_not_taken_for_no_change(
    place: BenchPlace,
    library: Library,
    filled: Filled,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    monkeypatch.setattr(module, "body_model", lambda: MODEL)
    now, then = (library.swing(one.id) for one in (filled.today, filled.best))
    for swing in (now, then):
        library.save_book(with_tempo(replace(measured(swing, {}), results=())))
    seeing = Seeing(place)
    place.look_at(now.id)
    qtbot.waitUntil(lambda: place.swing == now.id, timeout=10_000)
    place.toggle_earlier()
    qtbot.waitUntil(lambda: place.state.then is not None, timeout=10_000)
    seeing.commands()["measures.panel"]()
    qtbot.waitUntil(seeing.measures.is_read, timeout=10_000)
    since = seeing.panel.since.text()
    seeing.close_seeing()

    assert changes(library, library.swing(now.id), library.swing(then.id))
    assert since == "Nothing is measured in both yet."


def test_beside_a_moment_it_says_which_is_nearest(
    seeing: Seeing, place: BenchPlace, qtbot: QtBot
) -> None:
    place.show_panel(MEASURES)
    place.state.transport.drag(MOMENTS[Moment.TOP] + 90 * MS)

    qtbot.waitUntil(lambda: seeing.panel.where.text() == "Nearest: “top”")
    assert place.head.value.text() == ""


def test_the_lesson_s_focus_stands_above_the_pictures_at_its_moment(
    seeing: Seeing, place: BenchPlace, qtbot: QtBot
) -> None:
    at_top(place)

    qtbot.waitUntil(lambda: place.head.value.text() != "")
    place.resize(1500, 640)
    roomy = place.head.value.text()
    place.resize(800, 640)
    assert roomy == "pelvis turn: 48° closed ± 4   (own best 25° closed ± 4)"
    assert place.head.value.text() == "pelvis turn: 48° closed ± 4"
    assert place.head.value.toolTip() == roomy


def test_a_change_is_pressed_and_leads_to_its_moment(
    seeing: Seeing, place: BenchPlace, qtbot: QtBot
) -> None:
    place.show_panel(MEASURES)
    qtbot.waitUntil(lambda: seeing.panel.changes_model.rowCount() > 0, timeout=10_000)
    place.state.transport.drag(0)
    model, view = seeing.panel.changes_model, seeing.panel.changes
    spot = view.visualRect(model.index(0)).center()
    viewport = view.viewport()
    assert viewport is not None

    qtbot.mouseClick(viewport, Qt.MouseButton.LeftButton, pos=spot)

    (line,) = model.lines
    assert line.words.startswith("more closed by 23°")
    assert place.state.transport.at_ns == pytest.approx(MOMENTS[Moment.TOP], abs=5 * MS)
    assert seeing.measures.measure.name == "pelvis turn"


def test_a_change_is_reached_by_keys_alone(seeing: Seeing, place: BenchPlace, qtbot: QtBot) -> None:
    place.show_panel(MEASURES)
    qtbot.waitUntil(lambda: seeing.panel.changes_model.rowCount() > 0, timeout=10_000)
    place.state.transport.drag(0)
    seeing.panel.changes.setCurrentIndex(seeing.panel.changes_model.index(0))

    qtbot.keyClick(seeing.panel.changes, Qt.Key.Key_Return)

    assert place.state.transport.at_ns == pytest.approx(MOMENTS[Moment.TOP], abs=5 * MS)


def test_curves_stand_below_the_bar_when_asked_for(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library, qtbot: QtBot
) -> None:
    for swing in (filled.today.id, filled.best.id):
        keep_seen(place, library.swing(swing))
    before = seeing.curve.isVisible()
    seeing.commands()["measures.curve"]()

    qtbot.waitUntil(lambda: bool(seeing.measures.curves()), timeout=20_000)
    picture = seeing.curve.picture
    column = seeing.curve.place.lines.left
    bar = place.bar
    assert not before
    assert seeing.curve.isVisible()
    assert {line.side for line in picture.lines} == set(Side)
    assert picture.name == "pelvis turn"
    shift = bar.mapTo(place, QPoint(0, 0)).x() - seeing.curve.mapTo(place, QPoint(0, 0)).x()
    assert column == bar.place.line.left + shift
    seeing.commands()["measures.next_curve"]()
    assert seeing.curve.picture.name == "chest turn"
    seeing.commands()["measures.curve"]()
    assert not seeing.curve.isVisible()


def test_sticks_are_drawn_only_when_asked_for(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library, qtbot: QtBot
) -> None:
    keep_seen(place, library.swing(filled.today.id))
    projection, cell = place.canvas.projection, (Side.NOW, View.FACE_ON)
    qtbot.waitUntil(lambda: projection.shown_ns(cell) is not None, timeout=20_000)
    none = painted(seeing, place, cell)
    seeing.commands()["measures.sticks"]()
    qtbot.waitUntil(lambda: seeing.measures.joints_px(cell, 0) is not None, timeout=20_000)
    drawn = painted(seeing, place, cell)
    seeing.commands()["measures.sticks"]()

    assert (none == 0).all()
    assert (drawn != 0).any()
    assert (painted(seeing, place, cell) == 0).all()


def test_after_a_mark_by_hand_it_is_measured_there(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library, qtbot: QtBot
) -> None:
    keep_seen(place, library.swing(filled.today.id))
    place.move_moment(Moment.TOP, -500 * MS)

    def value() -> float | None:
        results = library.swing(filled.today.id).book.results
        found = [r.measured for r in results if r.name == "pelvis turn, top"]
        return None if not found or found[0] is None else found[0].value

    qtbot.waitUntil(lambda: value() not in (None, 48.0), timeout=20_000)
    first = value()
    now = place.state.now
    assert now is not None
    place.move_moment(Moment.TOP, -300 * MS)
    qtbot.waitUntil(lambda: value() != first, timeout=20_000)


def test_what_waits_to_be_measured_is_measured_at_the_end(
    seeing: Seeing, place: BenchPlace, filled: Filled, library: Library
) -> None:
    keep_seen(place, library.swing(filled.today.id))
    seeing._unmeasured.add(filled.today.id)

    seeing.close_seeing()

    results = {r.name: r for r in library.swing(filled.today.id).book.results}
    turn = results["pelvis turn, top"].measured
    assert turn is not None
    assert turn.value != 48.0


def test_a_swing_is_analysed_by_a_word_with_its_share_in_the_caption(
    seeing: Seeing, place: BenchPlace, filled: Filled, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    asked: list[list[SwingId]] = []
    said: list[str] = []
    place.says.connect(said.append)

    def apart(
        _folder: Path, _cache: object, swings: list[SwingId], watch: Watch
    ) -> tuple[str, ...]:
        asked.append(list(swings))
        watch.report(0.5, "analysing swings")
        return ()

    monkeypatch.setattr(module, "analyse_apart", apart)
    place.show_panel(MEASURES)
    qtbot.mouseClick(seeing.panel.analyse, Qt.MouseButton.LeftButton)

    assert [job.words for job in place.workers.jobs] == ["Analysing"]
    assert not seeing.panel.analyse.isEnabled()
    qtbot.waitUntil(seeing.panel.analyse.isEnabled, timeout=10_000)
    assert asked == [[filled.today.id]]
    assert said[-1].startswith("Analysed")


@pytest.mark.parametrize("error", [CancelledError(), StationError("It broke.", try_next="Again.")])
def test_a_job_that_ends_otherwise_is_told_calmly(
    seeing: Seeing,
    place: BenchPlace,
    error: StationError,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    told: list[object] = []
    place.says.connect(told.append)
    place.trouble.connect(told.append)

    def fails(_watch: Watch) -> BodyModel:
        raise error

    monkeypatch.setattr(module, "fetch_body_model", fails)
    seeing.panel.show_model(is_there=False)
    place.show_panel(MEASURES)
    qtbot.mouseClick(seeing.panel.fetch, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(told), timeout=10_000)

    assert told == [str(error) if isinstance(error, CancelledError) else error]
    assert seeing.panel.fetch.isEnabled()


def test_without_the_model_it_says_so_and_offers_it(
    seeing: Seeing, place: BenchPlace, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    place.show_panel(MEASURES)
    before = seeing.panel.fetch.isVisible()
    seeing.panel.show_model(is_there=False)
    offered = seeing.panel.fetch.isVisible(), seeing.panel.told.text()
    monkeypatch.setattr(module, "fetch_body_model", lambda _watch: MODEL)
    qtbot.mouseClick(seeing.panel.fetch, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not seeing.panel.fetch.isVisible(), timeout=10_000)

    assert not before
    assert offered[0]
    assert offered[1].startswith("Without the body model")
