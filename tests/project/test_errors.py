"""The error tree is the one drawn in its docstring, and each error says what to try."""

from __future__ import annotations

import re

from capturestation import errors
from capturestation.errors import CancelledError, NotReadableError, StationError


def family(kind: type[StationError]) -> list[type[StationError]]:
    """An error class and all below it."""
    return [kind, *(member for child in kind.__subclasses__() for member in family(child))]


def test_the_drawn_tree_names_every_error_with_its_exit_code() -> None:
    drawn = dict(re.findall(r"[├└]── (\w+Error) +(\d+) ", errors.__doc__ or ""))

    real = {kind.__name__: str(kind.exit_code) for kind in family(StationError)[1:]}

    assert drawn == real


def test_an_error_says_what_happened_and_what_to_try() -> None:
    error = NotReadableError(
        "swing.mp4 holds no frame.", try_next="Record it again.", subject="swing.mp4"
    )

    assert str(error) == "swing.mp4 holds no frame. Record it again."
    assert error.subject == "swing.mp4"


def test_stopping_says_that_nothing_was_left_behind() -> None:
    assert "Nothing was left behind" in str(CancelledError())
