"""Which measures a lesson's focus speaks of, and when, by the words that a coach wrote.

Owns the table of those words (`focus_words.csv`): a measure is spoken of where each group of its
row has a word in the focus. Refuses to guess: a focus with other words speaks of none.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files

_WORD = re.compile(r"[\w-]+")
_WHEN = re.compile(r"(lead arm|trail arm|shaft) level|on the way (down|back)|down the line")
# Moments and a view by their names: their words speak of no measure.


@cache
def _table() -> Mapping[str, tuple[frozenset[str], ...]]:
    """For each measure its groups of words."""
    text = files("capturestation.swing").joinpath("focus_words.csv").read_text("utf-8")
    return {
        row["measure"]: tuple(frozenset(group.split("|")) for group in row["words"].split())
        for row in csv.DictReader(text.splitlines())
    }


def spoken_of(focus: Iterable[str]) -> frozenset[str]:
    """Names of the measures that a lesson's focus speaks of.

    Args:
        focus: The one or two things to work on, as they were written.

    Example:
        >>> sorted(spoken_of(["pelvis square by lead arm level on the way down"]))
        ['pelvis turn']
        >>> sorted(spoken_of(["have fun"]))
        []
    """
    found = set()
    for line in focus:
        said = frozenset(_WORD.findall(_WHEN.sub(" ", line.lower())))
        found |= {
            measure for measure, groups in _table().items() if all(said & group for group in groups)
        }
    return frozenset(found)
