"""Which mark rules a moment.

Owns one rule: the hand's mark wins over a found one. Called wherever a swing's marks are used.
"""

from __future__ import annotations

from collections.abc import Iterable

from capturestation.records import Mark, MarkSource, Moment


def ruling_marks(marks: Iterable[Mark]) -> dict[Moment, Mark]:
    """One mark a moment, in the order of moments: the hand's where there is one."""
    ruling: dict[Moment, Mark] = {}
    for mark in sorted(marks, key=lambda m: (m.moment.place, m.source is not MarkSource.HAND)):
        ruling.setdefault(mark.moment, mark)
    return ruling
