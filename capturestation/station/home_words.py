"""The words of the page that goes home: what really changed, and what could not be measured.

Owns putting a measure's name into plain words. Refuses to judge: a change is told, never whether
it is good; the body's limits of the day are never asked for here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from capturestation.compare.differences import LEAST_SWINGS
from capturestation.drawing.home_page import Passage
from capturestation.drawing.theme import date_words
from capturestation.records import Moment, Swing
from capturestation.station.comparing import ChangeRow, Comparison
from capturestation.swing.checks import CheckAnswer
from capturestation.swing.tempo import BACK, DOWN, RATIO

WHERE = {
    Moment.SET: "at set",
    Moment.CLUB_STARTS: "as the club starts",
    Moment.TAKEAWAY: "at the takeaway",
    Moment.LEAD_ARM_LEVEL_BACK: "with the lead arm level going back",
    Moment.TOP: "at the top",
    Moment.LEAD_ARM_LEVEL_DOWN: "with the lead arm level coming down",
    Moment.SHAFT_LEVEL_DOWN: "with the shaft level coming down",
    Moment.IMPACT: "at impact",
    Moment.SHAFT_LEVEL_THROUGH: "with the shaft level going through",
    Moment.TRAIL_ARM_LEVEL_THROUGH: "with the trail arm level going through",
    Moment.FINISH: "at the finish",
}
_TEMPO = {
    BACK: "The way back takes",
    DOWN: "The way down takes",
    RATIO: "Way back to way down",
}
CAUTIONS = (
    "Pain is a reason to stop, and to see a licensed professional. Nothing here calls a swing safe "
    "or harmful.",
    "Practise where ball and club can hit nobody: people stand behind the hitting line or behind "
    "a net.",
    "This page, clip and web page show a person: pass them on only to people who may see them. "
    "Your coach deletes your recordings when you ask for it.",
)
CHILD_CAUTION = (
    "They show somebody who may be under 18: keep them in the family, put no name or address with "
    "the pictures, and don't publish them."
)
ERROR_WORDS = (
    "Behind ± stands how far a figure may be off: about 19 times in 20 the truth lies within. "
    "Markerless turns are good to 8 or 10 degrees at best. Trust your coach's eye first."
)
SPREAD_WORDS = (
    "How much you vary from swing to swing is not known yet for all of it: that takes "
    f"{LEAST_SWINGS} other measured swings like this one."
)
_MOST_NAMED = 3
_MOST_CHANGES = 8
_ONE_UNIT = re.compile(r"(\S+) (\S.*?) ± (\S+) \2$")
# As in "13 deg ± 6 deg": the unit is said once.
_MOST_REASONS = 5


def measure_words(name: str) -> str:
    """A measure's full name in a sentence.

    Example:
        >>> measure_words("pelvis turn, lead arm level, down")
        'pelvis turn with the lead arm level coming down'
        >>> measure_words("time back")
        'time back'
    """
    measure, _, moment = name.partition(", ")
    return f"{measure} {WHERE[Moment(moment)]}" if moment in set(Moment) else name


def change_words(name: str, words: str) -> str:
    """A change in a sentence.

    Example:
        >>> change_words("pelvis turn, impact", "more closed by 13 deg ± 6 deg")
        'Pelvis turn at impact: more closed by 13 ± 6°.'
        >>> change_words("time back", "longer by 0.08 s ± 0.03 s")
        'The way back takes longer by 0.08 ± 0.03 s.'
    """
    plain = plain_words(words)
    if name in (BACK, DOWN):
        return f"{_TEMPO[name]} {plain}."
    told = _TEMPO.get(name) or capital(measure_words(name))
    return f"{told}: {plain}."


def plain_words(words: str) -> str:
    """A value or a change with its unit said once.

    Example:
        >>> plain_words("more closed by 13 deg ± 6 deg"), plain_words("24 deg open ± 8")
        ('more closed by 13 ± 6°', '24° open ± 8')
    """
    return _degrees(_ONE_UNIT.sub(r"\1 ± \3 \2", words))


def _degrees(words: str) -> str:
    return words.replace(" deg", "°")


def changes_passage(found: Comparison) -> Passage:
    """What clearly changed from the earlier swing, and how much else did not."""
    day = date_words(found.then.facts.struck_at.date())
    clear = [row for row in found.changes if row.is_clear]
    calm = len(found.changes) - len(clear)
    lines = [change_words(row.name, row.words) for row in by_size(clear)[:_MOST_CHANGES]]
    if len(clear) > _MOST_CHANGES:
        lines.append(f"And {len(clear) - _MOST_CHANGES} more, less sure.")
    if not found.changes:
        lines.append("Nothing was measured in both swings, so nothing is said about changes.")
    elif not clear:
        lines.append("Nothing changed by more than measuring errors and your own spread.")
    if clear and calm:
        lines.append(f"No clear change in {calm} other measure{'s' if calm > 1 else ''}.")
    if any(row.note for row in found.changes):
        lines.append(SPREAD_WORDS)
    return Passage(heading=f"What changed since {day} ({found.label})", lines=tuple(lines))


def by_size(rows: Sequence[ChangeRow]) -> list[ChangeRow]:
    """The surest changes first."""
    return sorted(rows, key=lambda row: abs(row.difference) / max(row.u, 1e-9), reverse=True)


def changed_at(found: Comparison | None) -> list[Moment]:
    """The moments at which something clearly changed, the surest first."""
    rows = by_size([row for row in found.changes if row.is_clear]) if found else []
    words = [row.name.partition(", ")[2] for row in rows]
    return list(dict.fromkeys(Moment(word) for word in words if word in set(Moment)))


def missing_passage(swing: Swing) -> Passage | None:
    """What could not be measured in today's swing, and why; None where nothing lacks."""
    names: dict[str, list[str]] = {}
    for result in swing.book.results:
        if result.why_missing:
            names.setdefault(result.why_missing, []).append(measure_words(result.name))
    lines = [_lacking(why, lacking) for why, lacking in names.items()]
    if not swing.book.results:
        lines = ["No measures were taken of today's swing."]
    if len(lines) > _MOST_REASONS:
        lines = [*lines[:_MOST_REASONS], f"And {len(lines) - _MOST_REASONS} more."]
    if not lines:
        return None
    return Passage(heading="What could not be measured", lines=tuple(lines), small=True)


def _lacking(why: str, names: Sequence[str]) -> str:
    told = ", ".join(names[:_MOST_NAMED])
    if len(names) > _MOST_NAMED:
        told += f" and {len(names) - _MOST_NAMED} more"
    return f"{capital(told)}: {why.rstrip('.')}."


def checks_passage(answers: Sequence[CheckAnswer]) -> Passage:
    """What works, not yet, or can't be told: only where the coach ticked it."""
    lines = [
        f"{capital(one.check.name)}: {one.verdict}."
        + (f" {capital(_degrees(one.why))}" if one.why else "")
        for one in answers
    ]
    return Passage(
        heading="What has to work",
        lines=tuple(lines) or ("No check is asked of such a swing.",),
    )


def cautions_passage(*, is_child: bool) -> Passage:
    """What to mind, always."""
    lines = (*CAUTIONS, CHILD_CAUTION) if is_child else CAUTIONS
    return Passage(heading="Please mind", lines=lines, small=True)


def capital(words: str) -> str:
    """The words with a capital first letter, as a sentence begins."""
    return words[:1].upper() + words[1:]
