"""The coach's own list of what has to work: kept in the library, edited, asked of a swing.

Owns the file `checks.csv` in the library's folder; without one the usual list counts.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from capturestation.errors import BadInputError, NotFoundError
from capturestation.folders import atomic_write_text
from capturestation.library import Library
from capturestation.records import Swing
from capturestation.swing.checks import (
    CheckAnswer,
    FunctionCheck,
    answers,
    checks_from,
    checks_text,
    usual_checks,
)

FILE = "checks.csv"


def checks_of(library: Library) -> tuple[FunctionCheck, ...]:
    """The library's list.

    Raises:
        BadInputError: If its file makes no sense; it is left as it is.
    """
    path = _path(library)
    try:
        return checks_from(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return usual_checks()
    except (OSError, ValueError, KeyError) as error:
        raise BadInputError(
            f"The list of checks can't be read: {error}",
            try_next=f"Mend {FILE} in the library's folder, or move it away for the usual list.",
            subject=FILE,
        ) from error


def change_check(
    library: Library,
    name: str,
    *,
    on: bool | None = None,
    low: float | None = None,
    high: float | None = None,
) -> FunctionCheck:
    """Switch a check on or off, or move its limits.

    Raises:
        NotFoundError: If no check, or more than one, begins with that name.
        BadInputError: If the limits contradict each other.
        OutputError: If it can't be written; the old list stands.
    """
    checks = checks_of(library)
    fits = [one for one in checks if one.name.lower().startswith(name.strip().lower())]
    if len(fits) != 1:
        near = ", ".join(one.name for one in fits or checks)
        raise NotFoundError(
            f"{len(fits) or 'No'} checks begin with {name}.",
            try_next=f"Name one of: {near}.",
            subject=name,
        )
    old = fits[0]
    try:
        new = replace(
            old,
            on=old.on if on is None else on,
            low=old.low if low is None else low,
            high=old.high if high is None else high,
        )
    except ValueError as error:
        raise BadInputError(
            f"{error}.", try_next="Give a lower limit under the higher one.", subject=name
        ) from error
    changed = tuple(new if one is old else one for one in checks)
    atomic_write_text(_path(library), checks_text(changed))
    return new


def asked_of(library: Library, swing: Swing) -> tuple[CheckAnswer, ...]:
    """What a swing's measures say of the list."""
    return answers(checks_of(library), swing.book.results, swing.book.kind, swing.club_group)


def _path(library: Library) -> Path:
    return library.places.root / FILE
