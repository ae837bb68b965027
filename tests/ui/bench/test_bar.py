"""The bar of time: scrubbed, moments moved by hand, and what it shows of the state."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PyQt6.QtCore import QEvent, QPoint, QPointF, Qt
from PyQt6.QtGui import QMouseEvent, QWheelEvent
from PyQt6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from capturestation.records import Moment, no_such_moment
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.bar import Bar
from capturestation.ui.look import Look
from tests.helpers.seen_swings import MS, seen_swing

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def state() -> BenchState:
    """An empty Bench."""
    return BenchState()


@pytest.fixture
def bar(qtbot: QtBot, state: BenchState, look: Look) -> Iterator[Bar]:
    state.open_now(seen_swing())
    host = QWidget()
    host.resize(1300, 200)
    made = Bar(state, look, host)
    qtbot.addWidget(host)
    made.resize(1000, made.height())
    host.show()
    yield made
    host.close()


def mouse(bar: Bar, kind: QEvent.Type, at: QPointF) -> None:
    none = Qt.KeyboardModifier.NoModifier
    QApplication.sendEvent(bar, QMouseEvent(kind, at, bar.mapToGlobal(at), LEFT, LEFT, none))


def on_line(bar: Bar, at_ms: int) -> QPointF:
    line = bar.place.line
    return QPointF(bar.place.column(at_ms * MS), line.top + line.height / 2)


def on_word(bar: Bar, moment: Moment) -> QPointF:
    rect = next(word.rect for word in bar.words() if word.moment.moment is moment)
    return QPointF(rect.left + rect.width / 2, rect.top + rect.height / 2)


def dragged(bar: Bar, begin: QPointF, end: QPointF) -> None:
    mouse(bar, QEvent.Type.MouseButtonPress, begin)
    mouse(bar, QEvent.Type.MouseMove, (begin + end) / 2)
    mouse(bar, QEvent.Type.MouseMove, end)
    mouse(bar, QEvent.Type.MouseButtonRelease, end)


def test_a_press_on_the_line_goes_there(bar: Bar) -> None:
    mouse(bar, QEvent.Type.MouseButtonPress, on_line(bar, -400))

    assert abs(bar.state.transport.at_ns + 400 * MS) < 3 * MS


def test_a_drag_along_the_line_scrubs(bar: Bar) -> None:
    seen: list[int] = []
    bar.state.transport.moved.tell(lambda: seen.append(bar.state.transport.at_ns))
    dragged(bar, on_line(bar, -400), on_line(bar, 200))

    assert len(seen) == 3
    assert abs(seen[-1] - 200 * MS) < 3 * MS


def test_a_press_on_a_word_goes_to_its_moment(bar: Bar) -> None:
    mouse(bar, QEvent.Type.MouseButtonPress, on_word(bar, Moment.TOP))
    mouse(bar, QEvent.Type.MouseButtonRelease, on_word(bar, Moment.TOP))

    assert bar.state.transport.at_ns == -250 * MS


def test_a_dragged_word_moves_its_moment_to_what_is_seen(bar: Bar, qtbot: QtBot) -> None:
    moved: list[tuple[Moment, int]] = []
    bar.move_moment.connect(lambda moment, at_ns: moved.append((moment, at_ns)))
    begin = on_word(bar, Moment.TOP)
    way = on_line(bar, -500) - on_line(bar, -250)
    dragged(bar, begin, begin + QPointF(way.x(), 0))

    assert moved == [(Moment.TOP, bar.state.transport.at_ns)]
    assert abs(moved[0][1] + 500 * MS) < 3 * MS


def test_a_word_beside_its_mark_moves_the_mark_as_far_as_the_hand(bar: Bar) -> None:
    moved: list[int] = []
    bar.move_moment.connect(lambda _moment, at_ns: moved.append(at_ns))
    word = next(one for one in bar.words() if one.moment.moment is Moment.TOP)
    edge = QPointF(word.rect.left + 1, word.rect.top + word.rect.height / 2)
    way = on_line(bar, -200) - on_line(bar, -250)
    dragged(bar, edge, edge + QPointF(way.x(), 0))

    assert abs(moved[0] + 200 * MS) < 3 * MS


def test_a_word_that_is_held_shows_its_menu_and_nothing_moves(
    bar: Bar, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Moment] = []
    monkeypatch.setattr(bar, "_show_menu", lambda moment, _at: asked.append(moment))
    before = bar.state.transport.at_ns
    mouse(bar, QEvent.Type.MouseButtonPress, on_word(bar, Moment.TOP))
    qtbot.waitUntil(lambda: bool(asked))
    mouse(bar, QEvent.Type.MouseButtonRelease, on_word(bar, Moment.TOP))

    assert asked == [Moment.TOP]
    assert bar.state.transport.at_ns == before


def test_while_it_is_moved_the_word_follows(bar: Bar) -> None:
    begin = on_word(bar, Moment.TOP)
    way = on_line(bar, -500) - on_line(bar, -250)
    mouse(bar, QEvent.Type.MouseButtonPress, begin)
    mouse(bar, QEvent.Type.MouseMove, begin + QPointF(way.x(), 0))

    held = next(one for one in bar.shown.moments if one.moment is Moment.TOP)
    assert abs(held.at_ns + 500 * MS) < 3 * MS
    assert bar.shown.chosen is Moment.TOP


def test_impact_is_not_moved(bar: Bar) -> None:
    moved: list[object] = []
    bar.move_moment.connect(lambda moment, _at: moved.append(moment))
    dragged(bar, on_word(bar, Moment.IMPACT), on_line(bar, 300))

    assert moved == []
    assert bar.state.transport.at_ns == 0


def test_a_moment_s_menu_marks_it_here_or_says_that_it_does_not_occur(bar: Bar) -> None:
    told: list[tuple[str, object]] = []
    bar.move_moment.connect(lambda moment, at_ns: told.append(("here", (moment, at_ns))))
    bar.no_moment.connect(lambda moment: told.append(("absent", moment)))
    bar.clear_moment.connect(lambda moment: told.append(("clear", moment)))
    bar.state.transport.drag(-300 * MS)
    for action in bar.menu_of(Moment.TOP).actions():
        action.trigger()

    assert told == [
        ("here", (Moment.TOP, -300 * MS)),
        ("absent", Moment.TOP),
        ("clear", Moment.TOP),
    ]


def test_every_moment_but_impact_can_be_marked_from_the_menu(bar: Bar) -> None:
    marked: list[Moment] = []
    bar.move_moment.connect(lambda moment, _at: marked.append(moment))
    for action in bar.mark_menu().actions():
        action.trigger()

    assert marked == [moment for moment in Moment if moment is not Moment.IMPACT]


def test_what_does_not_occur_can_be_taken_back_from_the_menu(
    qtbot: QtBot, state: BenchState, look: Look
) -> None:
    seen = seen_swing()
    book = seen.swing.book
    gone = tuple(m for m in book.marks if m.moment is not Moment.TOP)
    book = replace(book, marks=(*gone, no_such_moment(Moment.TOP)))
    state.open_now(seen.with_swing(replace(seen.swing, book=book)))
    bar = Bar(state, look)
    qtbot.addWidget(bar)
    told: list[tuple[str, Moment]] = []
    bar.no_moment.connect(lambda moment: told.append(("absent", moment)))
    bar.clear_moment.connect(lambda moment: told.append(("again", moment)))
    for action in bar.absent_menu().actions():
        action.trigger()

    assert ("again", Moment.TOP) in told
    assert ("absent", Moment.CLUB_STARTS) in told


def test_the_wheel_steps_through_frames(bar: Bar) -> None:
    at = on_line(bar, 0)
    event = QWheelEvent(
        at,
        bar.mapToGlobal(at),
        QPoint(),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(bar, event)

    assert bar.state.transport.at_ns < 0


def test_the_marker_moves_with_the_state(bar: Bar) -> None:
    before = bar.grab().toImage()
    bar.state.transport.drag(-600 * MS)
    after = bar.grab().toImage()

    line = bar.place.line
    at = QPoint(round(bar.place.column(-600 * MS)), line.top + line.height // 2)
    assert before.pixelColor(at) != after.pixelColor(at) or before != after
    assert after.pixelColor(at) == bar.look.colour("now")
    assert bar.accessibleDescription() == bar.shown.words


def test_in_little_height_words_stand_on_one_line(bar: Bar) -> None:
    high = bar.height()
    bar.set_low(is_low=True)

    assert bar.height() < high
    assert all(len(word.lines) == 1 for word in bar.words())


def test_at_twice_the_letters_it_is_twice_as_high(bar: Bar, look: Look) -> None:
    before = bar.height()
    look.enlarge(2.0)

    assert bar.height() == pytest.approx(2 * before, rel=0.1)
    assert Moment.IMPACT in [word.moment.moment for word in bar.words()]
