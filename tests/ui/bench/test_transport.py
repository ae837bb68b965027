"""The words of movement."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest
from PyQt6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from capturestation.records import View
from capturestation.station.bench.state import BenchState
from capturestation.ui.bench.bar import Bar
from capturestation.ui.bench.transport import TransportBar
from capturestation.ui.look import Look
from tests.helpers.seen_swings import MS, even_frames, seen_swing


@pytest.fixture
def state() -> BenchState:
    """An empty Bench."""
    return BenchState()


@pytest.fixture
def words(qtbot: QtBot, state: BenchState, look: Look) -> Iterator[TransportBar]:
    state.open_now(seen_swing())
    host = QWidget()
    host.resize(1300, 200)
    made = TransportBar(state, look, host)
    qtbot.addWidget(host)
    made.resize(1200, made.sizeHint().height())
    host.show()
    yield made
    host.close()


def test_frame_on_and_frame_back_step(words: TransportBar) -> None:
    words.frame_on.click()
    on = words.state.transport.at_ns
    words.frame_back.click()

    assert on > 0
    assert words.state.transport.at_ns == 0


def test_play_plays_until_it_is_pressed_again(words: TransportBar) -> None:
    words.play.click()
    playing = words.state.transport.is_playing, words.play.text(), words.timer.isActive()
    words.play.click()

    assert playing == (True, "Stop", True)
    assert (words.play.text(), words.timer.isActive()) == ("Play", False)


def test_it_moves_on_while_it_plays(words: TransportBar, qtbot: QtBot) -> None:
    before = words.state.transport.at_ns
    words.play.click()
    qtbot.waitUntil(lambda: words.state.transport.at_ns > before)
    words.play.click()

    assert words.state.transport.at_ns > before


def test_playing_begun_by_a_key_shows_on_the_button(words: TransportBar) -> None:
    words.state.transport.back()

    assert words.play.text() == "Stop"
    words.state.transport.stop()


def test_speed_is_said_and_chosen(words: TransportBar) -> None:
    words.slower.click()
    slower = words.speed.text()
    for _ in range(5):
        words.faster.click()

    assert slower == "1/8 speed"
    assert words.speed.text() == "Real speed"


def test_pressing_the_speed_goes_through_all_and_round(words: TransportBar) -> None:
    seen = []
    for _ in range(5):
        words.speed.click()
        seen.append(words.state.transport.speed)

    assert seen == [Fraction(1, 8), Fraction(1, 16), Fraction(1), Fraction(1, 2), Fraction(1, 4)]


def test_loop_repeats_between_the_two_moments_about_us(words: TransportBar) -> None:
    words.state.transport.drag(-100 * MS)
    words.loop.click()
    looped = words.state.transport.loop, words.loop.isChecked()
    words.loop.click()

    assert looped == ((-250 * MS, 0), True)
    assert (words.state.transport.loop, words.loop.isChecked()) == (None, False)


def test_angles_are_gone_through(words: TransportBar) -> None:
    words.angles.click()

    assert words.state.alone is View.FACE_ON
    assert words.angles.text() == "Only face-on"


def test_one_angle_leaves_nothing_to_choose(words: TransportBar) -> None:
    words.state.open_now(seen_swing(frames={View.FACE_ON: even_frames()}))

    assert words.angles.isHidden()


def test_an_empty_bench_has_nothing_to_press(qtbot: QtBot, look: Look) -> None:
    made = TransportBar(BenchState(), look)
    qtbot.addWidget(made)

    assert not any(button.isEnabled() for button in made.words())


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_every_word_is_large_enough_to_hit_and_has_a_name(
    words: TransportBar, look: Look, scale: float
) -> None:
    look.enlarge(scale)

    for button in words.findChildren(QPushButton):
        assert button.minimumHeight() >= 44 * scale
        assert button.accessibleName()


def test_in_a_narrow_window_one_word_chooses_the_speed(words: TransportBar, look: Look) -> None:
    look.enlarge(2.0)
    words.resize(1100, 92)

    assert words.slower.isHidden()
    assert words.faster.isHidden()
    assert not words.speed.isHidden()


def with_bar(qtbot: QtBot, look: Look) -> TransportBar:
    """The words and a bar of time, on a page of 1240."""
    state = BenchState()
    state.open_now(seen_swing())
    made = TransportBar(state, look, bar=Bar(state, look))
    qtbot.addWidget(made)
    made.show()
    return made


def test_below_the_bar_or_at_both_its_ends(qtbot: QtBot, look: Look) -> None:
    made = with_bar(qtbot, look)
    made.resize(1240, made.sizeHint().height())
    assert made.bar is not None
    below = made.bar.geometry().bottom() < made.play.geometry().top()
    made.set_tight(is_tight=True)
    made.resize(1240, made.minimumSizeHint().height())
    bar = made.bar
    qtbot.waitUntil(lambda: made.play.geometry().right() < bar.geometry().left())

    assert below
    assert made.speed.geometry().left() > made.bar.geometry().right()
    assert made.play.geometry().bottom() < made.frame_back.geometry().top()
    assert (made.frame_back.text(), made.frame_on.text()) == ("Back", "On")
    assert made.frame_back.accessibleName() == "Frame back"


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_at_both_ends_words_are_large_enough_to_hit_too(
    qtbot: QtBot, look: Look, scale: float
) -> None:
    made = with_bar(qtbot, look)
    look.enlarge(scale)
    made.set_tight(is_tight=True)

    assert all(button.minimumHeight() >= 44 for button in made.words())


def test_with_room_for_one_angle_the_word_says_which_is_seen(qtbot: QtBot, look: Look) -> None:
    made = with_bar(qtbot, look)
    made.state.give_room(1)
    first = made.angles.text()
    made.angles.click()

    assert (first, made.angles.text()) == ("Face-on", "Down-the-line")
    assert made.state.alone is None
