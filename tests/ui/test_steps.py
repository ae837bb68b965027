"""The list of steps tells each change, and none where a step fails."""

from __future__ import annotations

import pytest

from capturestation.errors import StationError
from capturestation.station.undo import Step
from capturestation.ui.steps import Steps


def fail() -> None:
    """A step that can't be done."""
    raise StationError("The disk is full.", try_next="Free some space.")


def test_every_change_is_told() -> None:
    steps = Steps()
    told: list[str] = []
    steps.told.changed.connect(lambda: told.append(steps.undo_words))

    steps.run(Step(words="star", do=lambda: None, undo=lambda: None))
    steps.undo()
    steps.redo()
    steps.forget()

    assert told == ["star", "", "star", ""]


def test_a_failed_step_is_not_told() -> None:
    steps = Steps()
    told: list[int] = []
    steps.told.changed.connect(lambda: told.append(1))

    with pytest.raises(StationError):
        steps.run(Step(words="star", do=fail, undo=lambda: None))

    assert told == []
    assert steps.undo_words == ""
