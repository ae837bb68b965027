"""All words of the window, in one table for translation.

Owns finding a text and filling it in. Another language is another table of the same keys. Keys
begin with their place: shell, book, bench.
"""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

TABLE = "texts.csv"


@cache
def texts() -> dict[str, str]:
    """Every text by its key."""
    source = files("capturestation.ui").joinpath(TABLE)
    rows = csv.DictReader(source.read_text(encoding="utf-8").splitlines())
    return {row["key"]: row["text"] for row in rows}


def say(key: str, **values: object) -> str:
    """The text of a key, with its {places} filled.

    Raises:
        KeyError: If there is no such text, or a place has no value.

    Example:
        >>> say("shell.stop")
        'Stop'
    """
    return texts()[key].format(**values)
