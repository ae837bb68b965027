"""Found marks and a person's marks put together.

Owns the rules: a hand's mark always wins; what a hand says does not occur isn't put back by a
finder; moments keep their order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from capturestation.errors import MarkRefusedError
from capturestation.records import Mark, MarkSource, Moment


def effective_marks(marks: Iterable[Mark]) -> dict[Moment, Mark]:
    """The mark that counts for each moment, in the order of the moments.

    A found mark that contradicts the order of the hand's marks is left out: the hand knows better.
    """
    marks = tuple(marks)
    chosen = {mark.moment: mark for mark in marks if mark.source is MarkSource.HAND}
    for mark in marks:
        if mark.moment not in chosen and _clash(mark, chosen.values()) is None:
            chosen[mark.moment] = mark
    return {moment: chosen[moment] for moment in Moment if moment in chosen}


def with_mark(marks: Sequence[Mark], mark: Mark) -> tuple[Mark, ...]:
    """The marks with one set anew; the same moment's from the same source is replaced.

    Raises:
        MarkRefusedError: If it is a hand's and stands before an earlier moment that a hand marked,
            or after a later one, or on the wrong side of impact.
    """
    others = [one for one in marks if (one.moment, one.source) != (mark.moment, mark.source)]
    if mark.source is MarkSource.HAND:
        _refuse_disorder(mark, others)
    return _ordered([*others, mark])


def without_mark(
    marks: Sequence[Mark], moment: Moment, *, source: MarkSource = MarkSource.HAND
) -> tuple[Mark, ...]:
    """The marks without that moment's from that source; a found one then counts again."""
    return _ordered(one for one in marks if (one.moment, one.source) != (moment, source))


def shifted(mark: Mark, shift_ns: int) -> Mark:
    """The same mark on a clock whose zero was moved; what does not occur stays so."""
    if mark.at_ns is None or mark.early_ns is None or mark.late_ns is None:
        return mark
    return replace(
        mark,
        at_ns=mark.at_ns + shift_ns,
        early_ns=mark.early_ns + shift_ns,
        late_ns=mark.late_ns + shift_ns,
    )


def with_found(marks: Sequence[Mark], found: Sequence[Mark]) -> tuple[Mark, ...]:
    """The hand's marks kept, all found ones replaced."""
    kept = [mark for mark in marks if mark.source is MarkSource.HAND]
    return _ordered([*kept, *(mark for mark in found if mark.source is MarkSource.FOUND)])


def _ordered(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    return tuple(sorted(marks, key=lambda mark: (mark.moment.place, mark.source)))


def _refuse_disorder(mark: Mark, others: Sequence[Mark]) -> None:
    firm = [one for one in others if one.source is MarkSource.HAND]
    if all(one.moment is not Moment.IMPACT for one in firm):
        # Zero is impact, whoever found it.
        firm.extend(one for one in others if one.moment is Moment.IMPACT)
    firm = [one for one in firm if one.moment is not mark.moment]
    clash = _clash(mark, firm)
    if clash is None:
        return
    order = "after" if mark.moment.place > clash.moment.place else "before"
    raise MarkRefusedError(
        f"'{mark.moment}' at {_s(mark)} isn't {order} '{clash.moment}' at {_s(clash)}.",
        try_next=f"Mark it {order} that, or correct '{clash.moment}' first.",
        subject=str(mark.moment),
    )


def _clash(mark: Mark, others: Iterable[Mark]) -> Mark | None:
    """The first of the others that the order of moments forbids beside `mark`."""
    if mark.at_ns is None:
        return None
    for other in others:
        if other.at_ns is None:
            continue
        later = mark.moment.place > other.moment.place
        if (mark.at_ns <= other.at_ns) if later else (mark.at_ns >= other.at_ns):
            return other
    return None


def _s(mark: Mark) -> str:
    return f"{(mark.at_ns or 0) / 1e9:+.3f} s"
