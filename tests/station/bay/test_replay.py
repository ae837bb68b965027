"""The last ball again and again: all angles at one time of its clock, until another one comes."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.capture.messages import LookAt
from capturestation.errors import NotReadableError
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, View
from capturestation.station.bay.replay import HELD_NS, SPEED, Replay, Span, position
from tests.helpers.bay_files import CONTACT_S, Pair
from tests.helpers.coded_media import read_code

SPAN = Span(first_ns=-1_300_000_000, last_ns=850_000_000)
PATIENCE_S = 20.0
IMPACTS_NS = {
    View.FACE_ON: round(CONTACT_S * NS_PER_S),
    View.DOWN_THE_LINE: round((CONTACT_S - 0.2) * NS_PER_S),
}


class Film:
    """A replay whose clock a test turns.

    The thread looks at the clock again and again; each picture that it brings is waited for.
    """

    def __init__(self) -> None:
        self.now_ns = 0
        self.came = threading.Event()
        self.replay = Replay(self.came.set, clock=lambda: self.now_ns)

    def wait(self) -> None:
        """Until something came."""
        assert self.came.wait(PATIENCE_S)
        self.came.clear()


@pytest.fixture
def film() -> Iterator[Film]:
    made = Film()
    yield made
    made.replay.close()


def looks(pair: Pair) -> tuple[LookAt, ...]:
    return tuple(
        LookAt(view=view, file=str(path), impact_media_ns=IMPACTS_NS[view])
        for view, path in pair.by_view.items()
    )


@given(st.integers(min_value=0, max_value=10**12))
def test_the_loop_stays_within_and_goes_on_slowly(since_ns: int) -> None:
    at_ns, later_ns = (position(SPAN, since_ns + step) for step in (0, NS_PER_S // 10))
    whole_ns = round((SPAN.last_ns - SPAN.first_ns) / SPEED) + HELD_NS

    assert SPAN.first_ns <= at_ns <= SPAN.last_ns
    assert later_ns - at_ns <= NS_PER_S // 10 * SPEED + 1
    assert position(SPAN, since_ns + whole_ns) == at_ns


def test_all_angles_stand_at_one_time_of_the_ball_s_clock(film: Film, first_swing: Pair) -> None:
    film.replay.show("a", looks(first_swing))
    film.wait()
    first = film.replay.shown()
    # As far into the loop as impact is.
    assert first is not None
    film.now_ns = round(-first.at_ns / SPEED)
    film.wait()
    impact = film.replay.shown()

    assert impact is not None
    assert impact.at_ns == 0
    assert set(impact.pictures) == set(IMPACTS_NS)
    for view, path in first_swing.by_view.items():
        with FrameReader(path) as reader:
            wanted = reader.at(IMPACTS_NS[view])
        assert impact.ordinals[view] == wanted
        assert read_code(impact.pictures[view]) == wanted


def test_what_not_all_angles_hold_is_not_played(film: Film, first_swing: Pair) -> None:
    film.replay.show("a", looks(first_swing))
    film.wait()

    shown = film.replay.shown()

    # The second camera's file begins 0.2 s later.
    assert shown is not None
    assert shown.at_ns == -IMPACTS_NS[View.DOWN_THE_LINE]
    assert min(shown.ordinals.values()) == 0


def test_another_ball_is_played_instead_and_none_after_a_stop(
    film: Film, first_swing: Pair, second_swing: Pair
) -> None:
    film.replay.show("a", looks(first_swing))
    film.wait()
    film.replay.show("b", looks(second_swing))
    film.wait()
    second = film.replay.shown()
    film.replay.stop()

    assert second is not None
    assert second.ball == "b"
    assert film.replay.shown() is None
    assert film.replay.ball == ""


def test_files_that_are_gone_are_said_and_nothing_is_shown(film: Film, tmp_path: Path) -> None:
    gone = LookAt(view=View.FACE_ON, file=str(tmp_path / "gone.mp4"), impact_media_ns=0)

    film.replay.show("a", (gone,))
    film.wait()

    assert isinstance(film.replay.trouble, NotReadableError)
    assert film.replay.shown() is None


def test_it_goes_on_after_files_that_were_gone(
    film: Film, first_swing: Pair, tmp_path: Path
) -> None:
    gone = LookAt(view=View.FACE_ON, file=str(tmp_path / "gone.mp4"), impact_media_ns=0)
    film.replay.show("a", (gone,))
    film.wait()

    film.replay.show("b", looks(first_swing))
    film.wait()

    assert film.replay.trouble is None
    assert film.replay.shown() is not None


def test_while_nobody_looks_it_waits_and_then_begins_again(film: Film, first_swing: Pair) -> None:
    film.replay.hush(True)
    film.replay.show("a", looks(first_swing))
    hushed = film.replay.shown()

    film.replay.hush(False)
    film.wait()

    assert hushed is None
    assert film.replay.shown() is not None


def test_the_speed_is_a_quarter() -> None:
    assert Fraction(1, 4) == SPEED
