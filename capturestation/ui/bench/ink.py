"""The look's colours and sizes as the painters take them."""

from __future__ import annotations

from capturestation.drawing.bench_ink import BenchInk
from capturestation.drawing.theme import Colour
from capturestation.ui.look import ColourName, Look


def ink_of(look: Look) -> BenchInk:
    """What the Bench is painted with now."""
    return BenchInk(
        paper=_plain(look, "paper"),
        shade=_plain(look, "shade"),
        ink=_plain(look, "ink"),
        soft=_plain(look, "soft"),
        edge=_plain(look, "edge"),
        now=_plain(look, "now"),
        then=_plain(look, "then"),
        focus=_plain(look, "focus"),
        note_px=look.px("note"),
        body_px=look.px("body"),
    )


def _plain(look: Look, name: ColourName) -> Colour:
    colour = look.colour(name)
    return colour.red(), colour.green(), colour.blue()
