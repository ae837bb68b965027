"""The web page that goes home: one file with its film inside, which asks nothing of any network.

Owns what is put into the page, and that nothing in it is taken for code. How it looks and is
worked stands in `home_web.html`. Called by `going_home`.
"""

from __future__ import annotations

import base64
import html
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from importlib.resources import files

from capturestation.drawing.grid import Side
from capturestation.drawing.home_page import Passage
from capturestation.records import Moment, Plain, View
from capturestation.station.side_by_side_film import Film

_TEMPLATE = "home_web.html"


@dataclass(frozen=True, slots=True, kw_only=True)
class WebMoment:
    """A button of the page.

    Args:
        name: The moment.
        at_ns: When it is, today's swing clock.
    """

    name: Moment
    at_ns: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WebPage:
    """All that stands in it.

    Args:
        title: What it is of.
        day: The lesson's.
        whose: A name, or nothing.
        zero: What zero of the swing's clock is.
        now_word: What today's swing is called.
        then_word: What the earlier one is called; empty where there is none.
        film: Where everything stands in the film.
        moments: Its buttons.
        passages: Words below.
        drawn: What is drawn on today's pictures, by view, each a PNG on a clear ground that fits
            its picture; a view without drawings is left out.
    """

    title: str
    day: str
    whose: str
    zero: str
    now_word: str
    then_word: str
    film: Film
    moments: tuple[WebMoment, ...]
    passages: Sequence[Passage]
    drawn: Mapping[View, bytes] = field(default_factory=dict)


def web_page(page: WebPage, film_mp4: bytes) -> str:
    """The whole file, HTML.

    Args:
        page: What stands in it.
        film_mp4: The film that `page.film` describes.
    """
    held = files("capturestation.station").joinpath(_TEMPLATE).read_text("utf-8")
    heading = " · ".join(part for part in (page.whose, page.day) if part)
    parts = {
        "@TITLE@": html.escape(page.title),
        "@HEADING@": html.escape(heading),
        "@WORDS@": "\n".join(_passage(passage) for passage in page.passages),
        "@FACTS@": _as_script(_facts(page)),
        "@FILM@": base64.b64encode(film_mp4).decode("ascii"),
    }
    pieces = re.split("(" + "|".join(parts) + ")", held)
    return "".join(parts.get(piece, piece) for piece in pieces)


def _passage(passage: Passage) -> str:
    kind = ' class="small"' if passage.small else ""
    items = "".join(f"<li>{html.escape(line)}</li>" for line in passage.lines)
    return f"<section{kind}><h2>{html.escape(passage.heading)}</h2><ul>{items}</ul></section>"


def _picture(png: bytes | None) -> str:
    """A picture as an address of its own bytes; nothing where there is none."""
    return "" if png is None else f"data:image/png;base64,{base64.b64encode(png).decode('ascii')}"


def _as_script(value: Plain) -> str:
    """JSON that can stand inside a script, whatever it says."""
    text = json.dumps(value, ensure_ascii=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _facts(page: WebPage) -> dict[str, Plain]:
    film = page.film
    times = film.times_ns
    step_ns = int(times[1] - times[0])
    return {
        "frames": len(times),
        "rate_hz": float(film.rate_hz),
        "slowed": float(film.slowed),
        "first_ms": int(times[0]) / 1e6,
        "step_ms": step_ns / 1e6,
        "zero": page.zero,
        "now": page.now_word,
        "then": page.then_word,
        "cells": [
            {
                "side": str(cell.side),
                "view": str(cell.view),
                "box": [cell.rect.left, cell.rect.top, cell.rect.width, cell.rect.height],
                "drawn": _picture(page.drawn.get(cell.view) if cell.side is Side.NOW else None),
            }
            for cell in film.cells
        ],
        "moments": [
            {
                "name": str(moment.name),
                "frame": min(
                    max(round((moment.at_ns - int(times[0])) / step_ns), 0), len(times) - 1
                ),
            }
            for moment in page.moments
        ],
    }
