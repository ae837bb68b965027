"""Steps are taken back and done again in order, and a failing one changes nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import NotFoundError, OutputError
from capturestation.station.undo import MOST, Step, UndoList


def adding(values: list[int], value: int) -> Step:
    """A step that appends to a list."""
    return Step(words=f"add {value}", do=lambda: values.append(value), undo=lambda: _pop(values))


def _pop(values: list[int]) -> None:
    values.pop()


@given(st.lists(st.integers(), max_size=8), st.integers(0, 8))
def test_undo_then_redo_ends_where_it_was(added: list[int], back: int) -> None:
    values: list[int] = []
    steps = UndoList()
    for value in added:
        steps.run(adding(values, value))

    for _ in range(back):
        steps.undo()
    undone = list(values)
    for _ in range(back):
        steps.redo()

    assert undone == added[: max(len(added) - back, 0)]
    assert values == added


def test_a_new_step_ends_what_could_be_done_again() -> None:
    values: list[int] = []
    steps = UndoList()
    steps.run(adding(values, 1))
    steps.undo()

    steps.run(adding(values, 2))
    steps.redo()

    assert values == [2]
    assert steps.redo_words == ""


def test_a_step_that_fails_is_not_remembered() -> None:
    values: list[int] = []
    steps = UndoList()
    steps.run(adding(values, 1))

    def fails() -> None:
        raise KeyError

    with pytest.raises(KeyError):
        steps.run(Step(words="no", do=fails, undo=fails))

    assert steps.undo_words == "add 1"
    assert values == [1]


def test_no_more_steps_are_kept_than_are_of_use() -> None:
    values: list[int] = []
    steps = UndoList()
    for value in range(MOST + 5):
        steps.run(adding(values, value))

    while steps.undo_words:
        steps.undo()

    assert values == [0, 1, 2, 3, 4]


def test_a_step_that_never_can_be_taken_back_is_forgotten_and_the_one_before_it_can() -> None:
    undone: list[str] = []

    def gone() -> None:
        raise NotFoundError("It is gone.", try_next="Look elsewhere.")

    steps = UndoList()
    steps.run(Step(words="first", do=lambda: None, undo=lambda: undone.append("first")))
    steps.run(Step(words="second", do=lambda: None, undo=gone))

    with pytest.raises(NotFoundError):
        steps.undo()
    assert (steps.undo_words, steps.redo_words) == ("first", "")
    steps.undo()
    assert undone == ["first"]


def test_a_step_that_can_t_be_taken_back_now_stays() -> None:
    def full() -> None:
        raise OutputError("The disk is full.", try_next="Free some space.")

    steps = UndoList()
    steps.run(Step(words="move", do=lambda: None, undo=full))

    with pytest.raises(OutputError):
        steps.undo()
    assert steps.undo_words == "move"


def test_a_step_that_was_not_written_is_dropped_from_both_lists() -> None:
    steps = UndoList()
    one, two = (Step(words=name, do=lambda: None, undo=lambda: None) for name in ("one", "two"))
    steps.run(one)
    steps.run(two)
    steps.undo()

    steps.drop(two)
    steps.drop(one)

    assert (steps.undo_words, steps.redo_words) == ("", "")
