"""What merging two libraries found and did: each thing, both sides where they differ."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from capturestation.library.places import Subject
from capturestation.records import Consent, Plain, to_plain

_LABELS = ("view", "moment", "source", "name", "purpose", "giver", "on")
# What tells one mark, place on the clock, result or answer from another.


class Side(StrEnum):
    """Whose version stands where both have one."""

    OURS = "ours"
    THEIRS = "theirs"


class Outcome(StrEnum):
    """What became of one thing of the other library."""

    NEW = "brought in"
    JOINED = "answers about consent joined"
    OURS = "kept ours"
    THEIRS = "took theirs"
    GONE_HERE = "deleted here, stays deleted"
    LEFT = "left out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One field that both sides fill differently; None where a side has nothing."""

    field: str
    ours: Plain
    theirs: Plain


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """One thing, the same by its id, that the two sides tell differently."""

    subject: Subject
    id: str
    differences: tuple[Difference, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeItem:
    """What became of one thing, both sides' text where they differ, and why in words."""

    subject: Subject
    id: str
    outcome: Outcome
    differences: tuple[Difference, ...] = ()
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeReport:
    """What a merge did, or would do.

    Args:
        items: All that was not the same on both sides, in the order in which it was met.
        same: How many things were the same.
        dry_run: Whether nothing was done.
    """

    items: tuple[MergeItem, ...]
    same: int
    dry_run: bool = False

    def of(self, *outcomes: Outcome) -> tuple[MergeItem, ...]:
        """The items with one of those outcomes."""
        return tuple(item for item in self.items if item.outcome in outcomes)

    @property
    def conflicts(self) -> tuple[MergeItem, ...]:
        """What both sides tell differently, whichever stands now."""
        return tuple(item for item in self.items if item.differences)


def differences(
    ours: object, theirs: object, *, without: tuple[str, ...] = ()
) -> tuple[Difference, ...]:
    """The fields in which two records of one kind differ; lists by their single entries.

    Example:
        >>> from capturestation.records import BallResult
        >>> [d.field for d in differences(BallResult(start="left"), BallResult(rating=3))]
        ['start', 'rating']
    """
    here, there = _entries(to_plain(ours)), _entries(to_plain(theirs))
    return tuple(
        Difference(field=name, ours=here.get(name), theirs=there.get(name))
        for name in dict.fromkeys((*here, *there))
        if here.get(name) != there.get(name) and name.split("[")[0] not in without
    )


def _entries(plain: Plain, above: str = "") -> dict[str, Plain]:
    if not isinstance(plain, dict):
        return {above: plain}
    found: dict[str, Plain] = {}
    for name, value in plain.items():
        if isinstance(value, dict):
            found |= _entries({f"{name}.{k}": v for k, v in value.items()})
        elif isinstance(value, list) and any(isinstance(entry, dict) for entry in value):
            found |= _listed(name, value)
        else:
            found[name] = value
    return found


def _listed(name: str, entries: list[Plain]) -> dict[str, Plain]:
    met: Counter[str] = Counter()
    found: dict[str, Plain] = {}
    for entry in entries:
        label = _label(entry) if isinstance(entry, dict) else str(entry)
        met[label] += 1
        again = f", {met[label]}" if met[label] > 1 else ""
        found[f"{name}[{label}{again}]"] = entry
    return found


def _label(entry: Mapping[str, Plain]) -> str:
    return ", ".join(str(entry[key]) for key in _LABELS if entry.get(key) is not None)


def joined(ours: tuple[Consent, ...], theirs: tuple[Consent, ...]) -> tuple[Consent, ...]:
    """Both sides' answers about consent: ours, then what only the other side heard.

    An answer once given is never lost. Of one day's answers that only the other side heard the
    noes come last, so that the careful one counts.
    """
    more = Counter(theirs)
    more.subtract(ours)
    new = []
    for answer in theirs:
        if more[answer] > 0:
            more[answer] -= 1
            new.append(answer)
    return (*ours, *sorted(new, key=lambda answer: (answer.on, not answer.given)))
