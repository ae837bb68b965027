"""From what a coach types to the one thing that is meant, or to the names that come near it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from capturestation.errors import NotFoundError
from capturestation.library.places import Subject
from capturestation.library.rows import fold

_MOST_SHOWN = 5
_FEWEST_SIGNS = 4
_NEAR = 0.6
# The usual cut of difflib: one or two wrong letters in a short name still pass.


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing that could be meant: its id, the words it is shown by, and its name if any."""

    key: str
    shown: str
    name: str = ""


def prefix_range(text: str) -> tuple[str, str]:
    """The bounds of all ids that start with `text`, for `>=` and `<`; ids are small ASCII.

    Example:
        >>> prefix_range(" 7F ")
        ('7f', '7f~')
    """
    start = text.strip().lower().encode("ascii", "replace").decode()
    return start, start + "~"


def matches(query: str, text: str) -> bool:
    """Whether each word of a query starts a word of the text; both folded.

    Example:
        >>> matches("an be", "anna berg"), matches("erg", "anna berg")
        (True, False)
    """
    words = text.split()
    return all(any(word.startswith(part) for word in words) for part in query.split())


def only_one(subject: Subject, text: str, found: Sequence[Candidate]) -> str:
    """The id of the only candidate.

    Raises:
        NotFoundError: If there are more; names them.
    """
    if len(found) == 1:
        return found[0].key
    shown = "; ".join(c.shown for c in found[:_MOST_SHOWN])
    more = f" and {len(found) - _MOST_SHOWN} more" if len(found) > _MOST_SHOWN else ""
    raise NotFoundError(
        f"{text!r} fits more than one {subject.value}: {shown}{more}.",
        try_next="Write more of the name or the id.",
        subject=text,
    )


def nothing(subject: Subject, text: str, known: Iterable[Candidate]) -> NotFoundError:
    """The error when nothing fits; offers what comes near."""
    by_text: dict[str, str] = {}
    for candidate in known:
        folded = fold(candidate.name)
        # The first signs of an id are compared with as many of each: one wrong sign is near.
        signs = candidate.key[: len(text)] if len(text) >= _FEWEST_SIGNS else ""
        for part in filter(None, (folded, *folded.split(), candidate.key, signs)):
            by_text.setdefault(part, candidate.shown)
    near = difflib.get_close_matches(fold(text), by_text, n=_MOST_SHOWN, cutoff=_NEAR)
    shown = dict.fromkeys(by_text[part] for part in near)
    hint = "List what is there and choose from it."
    if shown:
        hint = f"Did you mean {' or '.join(shown)}?"
    return NotFoundError(f"No {subject.value} answers to {text!r}.", try_next=hint, subject=text)
