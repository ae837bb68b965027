"""A remote goes from moment to moment, and to another swing only when it was pressed twice."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.station.bench.transport import Transport
from capturestation.ui.bench.remote import RemoteSteps
from capturestation.ui.texts import say
from tests.helpers.seen_swings import MS

LAST = "This is the last moment. Once more for the next swing."
FIRST = "This is the first moment. Once more for the swing before."


class Heard:
    """What was asked for and said."""

    def __init__(self) -> None:
        self.ways: list[int] = []
        self.said: list[str] = []
        self.ends: set[int] = set()


@pytest.fixture
def heard() -> Heard:
    return Heard()


@pytest.fixture
def transport() -> Transport:
    made = Transport()
    made.load(np.arange(-1000 * MS, 1000 * MS, 20 * MS, dtype=np.int64))
    made.set_moments((-250 * MS, 0, 400 * MS))
    return made


@pytest.fixture
def steps(transport: Transport, heard: Heard) -> RemoteSteps:
    return RemoteSteps(
        transport, heard.ways.append, lambda way: way not in heard.ends, heard.said.append
    )


def test_it_goes_from_moment_to_moment(
    steps: RemoteSteps, transport: Transport, heard: Heard
) -> None:
    steps.step(1)
    last_ns = transport.at_ns
    steps.step(-1)
    steps.step(-1)

    assert (last_ns, transport.at_ns) == (400 * MS, -250 * MS)
    assert (heard.ways, heard.said) == ([], [])


@pytest.mark.parametrize(("way", "word"), [(1, LAST), (-1, FIRST)])
def test_beyond_the_last_one_a_word_comes_first_and_the_swing_then(
    steps: RemoteSteps, heard: Heard, way: int, word: str
) -> None:
    steps.step(way)
    steps.step(way)
    warned = heard.said.copy(), heard.ways.copy()
    steps.step(way)

    assert warned == ([word], [])
    assert (heard.said, heard.ways) == ([word], [way])


def test_who_moves_meanwhile_is_warned_again(
    steps: RemoteSteps, transport: Transport, heard: Heard
) -> None:
    steps.step(1)
    steps.step(1)
    transport.step(-1)
    steps.step(1)
    steps.step(1)

    assert heard.said == [LAST, LAST]
    assert heard.ways == []


def test_the_other_way_is_another_question(
    steps: RemoteSteps, transport: Transport, heard: Heard
) -> None:
    transport.set_moments((0,))
    steps.step(1)
    steps.step(-1)
    steps.step(1)

    assert heard.said == [LAST, FIRST, LAST]
    assert heard.ways == []


def test_a_moment_before_the_first_frame_is_as_none(
    steps: RemoteSteps, transport: Transport, heard: Heard
) -> None:
    transport.set_moments((-1010 * MS, 0))
    transport.home()
    steps.step(-1)
    steps.step(-1)

    assert heard.ways == [-1]


def test_at_the_last_swing_there_is_no_question(steps: RemoteSteps, heard: Heard) -> None:
    heard.ends = {1}
    for _ in range(4):
        steps.step(1)

    assert set(heard.said) == {say("bench.no_more")}
    assert heard.ways == []
