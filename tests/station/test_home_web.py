"""What is put into the web page, and that nothing of it is taken for code."""

from __future__ import annotations

import base64
import json
import re
from dataclasses import replace
from fractions import Fraction

import numpy as np

from capturestation.drawing.grid import Side
from capturestation.drawing.home_page import Passage
from capturestation.drawing.rect import Rect
from capturestation.media.canvas import Cut
from capturestation.records import Moment, View
from capturestation.station.home_web import WebMoment, WebPage, web_page
from capturestation.station.side_by_side_film import Cell, Film

MS = 1_000_000
CELL = Cell(
    side=Side.NOW,
    view=View.FACE_ON,
    rect=Rect(left=0, top=0, width=40, height=60),
    cut=Cut(left=0, top=0, width=40, height=60, to_width=40, to_height=60),
)
FILM = Film(
    width_px=40,
    height_px=60,
    cells=(CELL,),
    rate_hz=Fraction(50),
    times_ns=np.arange(-100, 51, dtype=np.int64) * 10 * MS,
)
EVIL = '</script><script>alert("@FILM@")</script>'
PAGE = WebPage(
    title="7 iron",
    day="30 Oct 2026",
    whose="",
    zero="impact",
    now_word="today · 30 Oct 2026",
    then_word="",
    film=FILM,
    moments=(WebMoment(name=Moment.TOP, at_ns=-253 * MS), WebMoment(name=Moment.IMPACT, at_ns=0)),
    passages=(Passage(heading="To work on", lines=(EVIL, "a & b < c")),),
)


def facts_of(text: str) -> dict[str, object]:
    found = re.search(r"^const facts = (.*);$", text, re.M)
    assert found is not None
    read: dict[str, object] = json.loads(found.group(1))
    return read


def test_the_film_lies_inside_as_it_is() -> None:
    text = web_page(PAGE, b"\x00film\xff")

    [inside] = re.findall(r'src="data:video/mp4;base64,([^"]*)"', text)
    assert base64.b64decode(inside) == b"\x00film\xff"


def test_words_stay_words() -> None:
    text = web_page(PAGE, b"")

    assert text.count("<script>") == 1
    assert "&lt;/script&gt;&lt;script&gt;alert(&quot;@FILM@&quot;)" in text
    assert "a &amp; b &lt; c" in text


def test_names_inside_the_script_can_not_end_it() -> None:
    text = web_page(replace(PAGE, now_word=EVIL), b"")

    assert text.count("</script>") == 1
    assert facts_of(text)["now"] == EVIL


def test_each_moment_is_the_frame_nearest_to_it() -> None:
    facts = facts_of(web_page(PAGE, b""))

    assert facts["frames"] == 151
    assert facts["moments"] == [{"name": "top", "frame": 75}, {"name": "impact", "frame": 100}]
    assert facts["slowed"] == 0.5


def test_what_is_drawn_lies_inside_with_the_picture_it_is_drawn_on() -> None:
    facts = facts_of(web_page(replace(PAGE, drawn={View.FACE_ON: b"png"}), b""))

    assert isinstance(facts["cells"], list)
    [cell] = facts["cells"]
    assert cell["drawn"] == "data:image/png;base64," + base64.b64encode(b"png").decode()
    assert '"drawn": ""' in web_page(PAGE, b"")


def test_no_address_but_the_films_own_is_in_it_and_others_are_forbidden() -> None:
    text = web_page(PAGE, b"film")

    assert not re.findall(r"(?:https?:)?//[\w.]+\.\w+", text)
    assert "default-src 'none'" in text
    assert re.findall(r'(?:src|href)="(?!data:)', text) == []
