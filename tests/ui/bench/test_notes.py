"""How exactly the pictures stand together can be read at any time."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from capturestation.compare.overlay import Placing
from capturestation.records import Moment, View
from capturestation.station.bench.state import Arrangement, BenchState
from capturestation.ui.bench.notes import Notes, notes_of
from capturestation.ui.look import Look
from tests.helpers.seen_swings import MS, even_frames, seen_swing, then_swing


@pytest.fixture
def state() -> BenchState:
    """An empty Bench."""
    return BenchState()


def test_how_far_the_views_are_apart_is_said(state: BenchState) -> None:
    views = {View.FACE_ON: even_frames(), View.DOWN_THE_LINE: even_frames(start_ms=-998.5)}
    state.open_now(seen_swing(frames=views))

    assert notes_of(state) == ("today: views 1.5 ms apart.",)


def test_one_angle_alone_has_nothing_to_be_apart_from(state: BenchState) -> None:
    state.open_now(seen_swing(frames={View.FACE_ON: even_frames()}))

    assert notes_of(state) == ()


def test_how_the_two_are_laid_together_is_said(state: BenchState) -> None:
    state.open_now(seen_swing())
    state.open_then(then_swing())
    at_all = notes_of(state)
    state.match(Moment.IMPACT)

    assert "Laid together at 4 moments; the earlier swing's speed is fitted in between." in at_all
    assert "Laid together at impact, both at real speed." in notes_of(state)


def test_a_moment_that_contradicts_the_others_is_named(state: BenchState) -> None:
    state.open_now(seen_swing(moments_ms={Moment.TOP: -250, Moment.CLUB_STARTS: -200}))
    state.open_then(then_swing())

    assert any(note.startswith("Not laid together at") for note in notes_of(state))


def test_by_what_the_earlier_picture_is_placed_is_said(state: BenchState) -> None:
    state.open_now(seen_swing())
    state.open_then(then_swing())
    state.arrange(Arrangement.OVER)
    unplaced = notes_of(state)
    state.lay(View.FACE_ON, Placing(now_from_then=np.eye(2, 3), said="Laid over by ball."))
    state.set_nudge_ns(4 * MS)

    assert unplaced[0].startswith("Laid over as high as each other")
    assert "face-on: Laid over by ball." in notes_of(state)
    assert "The earlier swing is moved by +4.0 ms." in notes_of(state)


def test_why_a_recording_can_not_be_shown_is_said(state: BenchState) -> None:
    state.open_now(seen_swing(said=("The extra recording can't be shown.",)))

    assert notes_of(state)[-1] == "The extra recording can't be shown."


@pytest.fixture
def notes(qtbot: QtBot, state: BenchState, look: Look) -> Iterator[Notes]:
    made = Notes(state, look)
    qtbot.addWidget(made)
    made.resize(400, 600)
    made.show()
    yield made
    made.close()


def test_the_page_follows_the_state_a_paragraph_a_sentence(notes: Notes, state: BenchState) -> None:
    state.open_now(seen_swing())
    before = notes.text()
    state.open_then(then_swing())
    state.transport.step(1)

    assert before.startswith("today: views")
    assert notes.text().split("\n\n") == list(notes_of(state))


def test_every_change_is_told_in_one_line(notes: Notes, state: BenchState) -> None:
    told: list[str] = []
    notes.said.connect(told.append)
    state.open_now(seen_swing())
    once = len(told)
    state.changed()

    assert told[-1] == notes.line == "  ".join(notes_of(state))
    assert len(told) == once


def test_hidden_it_is_written_when_it_is_looked_at(notes: Notes, state: BenchState) -> None:
    notes.hide()
    state.open_now(seen_swing())
    hidden = notes.text()
    notes.show()

    assert hidden == "One picture alone stands here: nothing has to fit."
    assert notes.text() == "today: views 1.7 ms apart."
