"""The places of the window, in the order of their words.

Owns the list alone. A place is added here; nothing else of the shell changes for it.
"""

from __future__ import annotations

from capturestation.ui.bay.place import BayPlace
from capturestation.ui.bench.whole import Bench
from capturestation.ui.book.place import BookPlace
from capturestation.ui.window import PlaceKind


def place_kinds() -> tuple[PlaceKind, ...]:
    """Every place that there is."""
    return (BookPlace, Bench, BayPlace)
