"""Bring a range laptop's lessons into the bay's book, and say where its rows shall lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from capturestation import library as books
from capturestation.errors import BadInputError, NotFoundError
from capturestation.library import Conflict, Housing, Library, MergeReport, Side
from capturestation.records import Part, Watch

_LOOKING = 0.1
# Share of a merge with chosen ids that is looking first whether these ids are in conflict.


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Whose version stands where both libraries tell one thing differently.

    Args:
        take: Ours or theirs, for all that is not named.
        ours: First signs of the ids for which ours stands, whatever `take` says.
        theirs: The same for theirs.
    """

    take: Side = Side.OURS
    ours: Sequence[str] = ()
    theirs: Sequence[str] = ()

    def __post_init__(self) -> None:
        for both in set(self.ours) & set(self.theirs):
            what = f"{both} is named for ours and for theirs."
            raise BadInputError(what, try_next="Name it for one side only.", subject=both)

    def side_of(self, conflict: Conflict) -> Side:
        """Whose version of this one stands."""
        if _is_among(conflict.id, self.ours):
            return Side.OURS
        return Side.THEIRS if _is_among(conflict.id, self.theirs) else self.take


def _is_among(key: str, starts: Sequence[str]) -> bool:
    return any(key.startswith(start.strip().lower()) for start in starts)


def merge(
    library: Library, folder: Path, choices: Choices, watch: Watch, *, dry_run: bool = False
) -> MergeReport:
    """Bring another library's students, lessons and swings into this one.

    Args:
        library: The library that grows.
        folder: The other's; only read.
        choices: Whose version stands in a conflict.
        watch: Told the share of all things looked at.
        dry_run: Only say what would be done.

    Raises:
        NotFoundError: If no library lies there, or no conflict answers to a chosen id.
        RefusedError: If it is this very library.
        OutputError: If this library can't be written.
        CancelledError: If the watch stops it; what came whole by then stays.
    """
    named = (*choices.ours, *choices.theirs)
    if named:
        _need_conflicts(library, folder, named, Part(watch, 0.0, _LOOKING))
    part = Part(watch, _LOOKING if named else 0.0, 1.0)
    return books.merge_library(library, folder, part, resolve=choices.side_of, dry_run=dry_run)


def _need_conflicts(library: Library, folder: Path, keys: Sequence[str], watch: Watch) -> None:
    # A mistyped id must not let the other version stand unnoticed.
    looked = books.merge_library(library, folder, watch, dry_run=True)
    for key in keys:
        if not any(_is_among(item.id, [key]) for item in looked.conflicts):
            raise NotFoundError(
                f"Nothing that both sides tell differently answers to {key!r}.",
                try_next="Look first at what would come, without merging.",
                subject=key,
            )


def housing(library: Library) -> Housing:
    """Where the library's rows lie, and why there."""
    return library.housing


def keep_rows_apart(folder: Path, apart: bool) -> None:
    """Say whether rows shall lie on this computer even where nothing shows that they must."""
    books.keep_rows_apart(folder, apart)
