"""All shortcuts of the window, in one table beside this file.

Owns which keys mean what, and where. `place` is shell (everywhere), remote (everywhere a place
listens to it), book or bench. Within what can be heard at once no key stands twice. A remote's
keys may be learnt: they then win over the table. Refuses to know what an action does.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

TABLE = "keys.csv"
SHELL = "shell"
REMOTE = "remote"
REMOTE_ACTIONS = ("remote.previous", "remote.next", "remote.play", "remote.view")
"""The four keys of a presenter's remote: what a place does with them is the place's own."""

REPEATS = frozenset(
    {
        "shell.larger",
        "shell.smaller",
        "remote.previous",
        "remote.next",
        "book.previous_swing",
        "book.next_swing",
        "bench.previous_frame",
        "bench.next_frame",
        "bench.previous_moment",
        "bench.next_moment",
        "bench.zoom_in",
        "bench.zoom_out",
        "bench.nudge_back",
        "bench.nudge_on",
    }
)
"""What a key that is held down does again and again; a held star would go on and off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyLine:
    """One line of the table.

    Args:
        action: What is done, such as bench.next_frame.
        keys: Each of these does it, in Qt's portable words, such as Ctrl+Shift+Z.
        place: Where it is heard.
        text: Key of its words.
    """

    action: str
    keys: tuple[str, ...]
    place: str
    text: str


@cache
def key_table() -> tuple[KeyLine, ...]:
    """Every line, in the order in which the sheet shows them."""
    source = files("capturestation.ui").joinpath(TABLE)
    rows = csv.DictReader(source.read_text(encoding="utf-8").splitlines())
    return tuple(
        KeyLine(
            action=row["action"],
            keys=tuple(row["keys"].split(" | ")),
            place=row["place"],
            text=row["text"],
        )
        for row in rows
    )


def heard_in(place: str) -> tuple[KeyLine, ...]:
    """The lines that are heard while that place is seen."""
    return tuple(line for line in key_table() if line.place in (SHELL, REMOTE, place))


def with_learnt(
    lines: tuple[KeyLine, ...], learnt: Mapping[str, tuple[str, ...]]
) -> tuple[KeyLine, ...]:
    """The same lines with a remote's own keys in them.

    A remote sends what its maker chose, so a key that was learnt means that action alone. An action
    of the remote for which nothing was learnt keeps the keys of the table.

    Args:
        lines: Lines as in the table.
        learnt: Keys by action.

    Example:
        >>> lines = heard_in("bench")
        >>> changed = with_learnt(lines, {"remote.next": ("Right",)})
        >>> [line.keys for line in changed if line.action in ("remote.next", "bench.next_frame")]
        [('Right',), ()]
    """
    taken = {key for keys in learnt.values() for key in keys}
    changed = []
    for line in lines:
        own = learnt.get(line.action, ())
        keys = own or tuple(key for key in line.keys if key not in taken)
        changed.append(KeyLine(action=line.action, keys=keys, place=line.place, text=line.text))
    return tuple(changed)
