"""The panel of sending: asked both ways, refused without consent, made, stopped, saved."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from capturestation.drawing.layout import LayoutName
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import Consent, Giver, Moment, Purpose, Watch
from capturestation.station import people
from capturestation.station.cache import cache_of
from capturestation.station.clips import MadeClip
from capturestation.station.sending import Beside, Order, Sending
from capturestation.ui.bench import clip_folder
from capturestation.ui.bench.clip_folder import ClipFolder
from capturestation.ui.bench.send import SendPanel
from capturestation.ui.look import Look
from capturestation.ui.work import Workers
from tests.helpers.library_records import DAY
from tests.helpers.station_library import NAME, Filled

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def sending(library: Library, filled: Filled) -> Sending:
    made = Sending(library)
    made.look_at(filled.today, Beside(swing=filled.best))
    return made


@pytest.fixture
def workers() -> Iterator[Workers]:
    made = Workers()
    yield made
    made.close()


@pytest.fixture
def clips(library: Library, tmp_path: Path) -> ClipFolder:
    return ClipFolder(library, cache_of(library, tmp_path / "caches"))


@pytest.fixture
def panel(
    qtbot: QtBot, sending: Sending, clips: ClipFolder, workers: Workers, tmp_path: Path
) -> Iterator[SendPanel]:
    folder = tmp_path / "home"
    folder.mkdir()
    made = SendPanel(sending, clips, workers, Look(), choose=lambda _parent, _before: folder)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.close_sending()


@pytest.fixture
def shared(library: Library) -> None:
    """The student said yes to sharing."""
    yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    people.answer_consent(library, NAME, yes)


def test_layout_and_speed_are_pressed_and_shown(
    panel: SendPanel, sending: Sending, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.shapes.button_of(LayoutName.THEN_AND_NOW), LEFT)
    qtbot.mouseClick(panel.speeds.button_of(Fraction(1, 2)), LEFT)
    asked = sending.shape, sending.slow
    sending.ask(shape=LayoutName.ALL_FOUR, slow=Fraction(1, 8))

    assert asked == (LayoutName.THEN_AND_NOW, Fraction(1, 2))
    assert panel.shapes.button_of(LayoutName.ALL_FOUR).isChecked()
    assert panel.speeds.button_of(Fraction(1, 8)).isChecked()


def test_upright_and_moments_are_ticked_and_shown(
    panel: SendPanel, sending: Sending, qtbot: QtBot
) -> None:
    panel.upright.click()
    panel.moments[Moment.IMPACT].click()
    asked = sending.is_upright, Moment.IMPACT in sending.held
    sending.ask(held=frozenset({Moment.IMPACT}), is_upright=False)

    assert asked == (True, False)
    assert panel.moments[Moment.IMPACT].isChecked()
    assert not panel.upright.isChecked()


def test_laid_over_is_ticked_where_an_earlier_swing_stands_there(
    panel: SendPanel, sending: Sending, filled: Filled, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.over, LEFT)

    assert sending.wish.over is not None
    assert panel.over.isVisible()
    sending.look_at(filled.today)
    assert not panel.over.isVisible()
    assert sending.wish.over is None


def test_for_the_coach_s_own_eyes_is_offered_only_where_it_must_not_go_home(
    panel: SendPanel, sending: Sending, library: Library
) -> None:
    panel.own_use.click()
    marked = panel.own_use.isVisible(), sending.wish.own_use
    yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    people.answer_consent(library, NAME, yes)
    panel.show_state()

    assert marked == (True, True)
    assert not panel.own_use.isVisible()
    assert not sending.wish.own_use


def test_the_focus_over_the_weeks_is_ticked_with_the_page(
    panel: SendPanel, sending: Sending, library: Library
) -> None:
    yes = Consent(purpose=Purpose.SHARING, giver=Giver.STUDENT, given=True, on=DAY, by="coach")
    people.answer_consent(library, NAME, yes)
    hidden = panel.page.weeks.isVisible()

    panel.page.wanted.click()
    panel.page.weeks.click()

    home = sending.ready().home
    assert not hidden
    assert home is not None
    assert home.with_weeks


def test_only_what_this_swing_has_is_offered(
    panel: SendPanel, sending: Sending, filled: Filled
) -> None:
    sending.look_at(filled.today)

    offered = [s for s in LayoutName if not s.is_upright and panel.shapes.button_of(s).isVisible()]
    assert offered == [LayoutName.BOTH_ANGLES]
    assert [m for m, box in panel.moments.items() if box.isVisible()] == [
        m for m in Moment if m in sending.moments
    ]
    assert not panel.drawings.isVisible()


def test_the_note_is_written_and_shown(panel: SendPanel, sending: Sending, qtbot: QtBot) -> None:
    qtbot.keyClicks(panel.note, "Hold")
    qtbot.keyClick(panel.note, Qt.Key.Key_Return)
    qtbot.keyClicks(panel.note, "it")

    assert sending.note == "Hold\nit"


def test_without_consent_the_next_step_is_said_and_nothing_is_made(
    panel: SendPanel, workers: Workers, qtbot: QtBot
) -> None:
    qtbot.mouseClick(panel.go, LEFT)

    assert "consent to sharing is missing from: student" in panel.answer.text()
    assert "then send again" in panel.answer.text()
    assert workers.jobs == ()
    assert panel.files == ()


@pytest.mark.usefixtures("shared")
def test_enter_makes_the_clip_and_it_can_be_saved(
    panel: SendPanel, sending: Sending, qtbot: QtBot, tmp_path: Path
) -> None:
    sending.ask(slow=Fraction(1), held=frozenset(), shape=LayoutName.BOTH_ANGLES)
    saved: list[Path] = []
    panel.saved.connect(saved.append)

    with qtbot.waitSignal(panel.made, timeout=20_000):
        qtbot.keyClick(panel, Qt.Key.Key_Return)
        is_busy = panel.stop.isVisible(), panel.progress.isVisible(), panel.go.isVisible()

    assert is_busy == (True, True, False)
    assert panel.hand_on.isVisible()
    assert panel.answer.text() == f"Ready: {sending.name}"
    with qtbot.waitSignal(panel.saved):
        qtbot.mouseClick(panel.hand_on.save, LEFT)
    assert saved == [tmp_path / "home" / sending.name]
    assert sending.folder == tmp_path / "home"
    assert panel.hand_on.save.text() == "Save in “home”"
    with FrameReader(saved[0]) as clip:
        assert len(clip) > 10


@pytest.mark.usefixtures("shared")
def test_a_page_and_a_web_page_come_along_and_are_saved_with_the_clip(
    panel: SendPanel, sending: Sending, qtbot: QtBot, tmp_path: Path
) -> None:
    sending.ask(slow=Fraction(1), held=frozenset(), shape=LayoutName.BOTH_ANGLES)
    was_seen = panel.page.practise.isVisible()
    panel.page.wanted.click()
    panel.page.checks.click()
    qtbot.keyClicks(panel.page.practise, "slowly")

    with qtbot.waitSignal(panel.made, timeout=40_000):
        qtbot.keyClick(panel, Qt.Key.Key_Return)
    with qtbot.waitSignal(panel.saved):
        qtbot.mouseClick(panel.hand_on.save, LEFT)

    assert (was_seen, panel.page.practise.isVisible()) == (False, True)
    stem = Path(sending.name).stem
    names = [f"{stem}{ending}" for ending in (".html", ".mp4", ".pdf")]
    assert sorted(path.name for path in (tmp_path / "home").iterdir()) == names
    assert sorted(path.name for path in panel.hand_on.slip.files) == names
    web = (tmp_path / "home" / names[0]).read_text(encoding="utf-8")
    assert "<li>Slowly</li>" in web
    assert "What has to work" in web


@pytest.mark.usefixtures("shared")
def test_three_things_to_practise_are_refused_before_anything_is_made(
    panel: SendPanel, sending: Sending
) -> None:
    panel.page.wanted.click()
    sending.practise = "a\nb\n\nc"

    panel.send()

    assert "one or two things" in panel.answer.text()
    assert panel.go.isVisible()


@pytest.fixture
def slow_make(monkeypatch: pytest.MonkeyPatch) -> threading.Event:
    """A clip that waits to be stopped."""
    begun = threading.Event()

    def made(_library: Library, _order: Order, _folder: Path, watch: Watch) -> MadeClip:
        begun.set()
        while True:
            watch.report(0.3, "waiting")

    monkeypatch.setattr(clip_folder, "make", made)
    return begun


@pytest.mark.usefixtures("shared")
def test_it_can_be_stopped_and_asked_for_again(
    panel: SendPanel, qtbot: QtBot, slow_make: threading.Event, workers: Workers
) -> None:
    qtbot.mouseClick(panel.go, LEFT)
    qtbot.waitUntil(slow_make.is_set)
    panel.send()
    only_one = len(workers.jobs)
    qtbot.mouseClick(panel.stop, LEFT)
    qtbot.waitUntil(lambda: not workers.jobs)

    assert only_one == 1
    assert panel.answer.text() == "Stopped; nothing was left."
    assert panel.go.isVisible()
    assert not panel.hand_on.isVisible()


@pytest.mark.usefixtures("shared")
def test_what_was_drawn_is_written_before_the_clip_is_begun(
    qtbot: QtBot, sending: Sending, clips: ClipFolder, workers: Workers, slow_make: threading.Event
) -> None:
    waiting: list[Callable[[], None]] = []
    panel = SendPanel(sending, clips, workers, Look(), first=waiting.append)
    qtbot.addWidget(panel)

    panel.send()
    before = workers.jobs
    waiting[0]()

    assert before == ()
    assert len(workers.jobs) == 1
    workers.jobs[0].stop()
    qtbot.waitUntil(lambda: not workers.jobs)
    panel.close_sending()


def test_two_presses_before_anything_began_make_one_clip(
    sending: Sending, clips: ClipFolder, workers: Workers, qtbot: QtBot, shared: None
) -> None:
    waiting: list[Callable[[], None]] = []
    panel = SendPanel(sending, clips, workers, Look(), first=waiting.append)
    qtbot.addWidget(panel)
    panel.send()
    panel.send()

    assert len(waiting) == 1
    panel.close_sending()


def test_a_press_on_the_slip_copies_the_file_to_paste(
    panel: SendPanel, qtbot: QtBot, tmp_path: Path
) -> None:
    said: list[str] = []
    panel.said.connect(said.append)
    panel.files = (tmp_path / "clip.mp4",)
    panel.show_state()

    qtbot.keyClick(panel.hand_on.slip, Qt.Key.Key_Space)

    clipboard = QApplication.clipboard()
    data = clipboard.mimeData() if clipboard else None
    assert data is not None
    assert [url.toLocalFile() for url in data.urls()] == [str(tmp_path / "clip.mp4")]
    assert said == ["The clip is copied: paste it into a message."]


def test_a_folder_that_is_gone_is_said(
    panel: SendPanel, sending: Sending, qtbot: QtBot, tmp_path: Path
) -> None:
    panel.files = (tmp_path / "clip.mp4",)
    sending.folder = tmp_path / "gone"
    panel.show_state()

    qtbot.mouseClick(panel.hand_on.save, LEFT)
    qtbot.waitUntil(lambda: "is not there" in panel.answer.text())

    assert sending.folder == tmp_path / "gone"
