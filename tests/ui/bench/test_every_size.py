"""At every size of window and letters: pictures first, nothing overlaps, nothing is cut short."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from capturestation.errors import LibraryError
from capturestation.library import Library
from capturestation.records import Box, SwingId, View
from capturestation.station.bench.opening import Opened
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.bench.state import Arrangement
from capturestation.station.cache import cache_of
from capturestation.station.desk import Desk
from capturestation.station.undo import UndoList
from capturestation.ui.bench.bar import Bar
from capturestation.ui.bench.canvas import Canvas
from capturestation.ui.bench.curves import CurvePane
from capturestation.ui.bench.place import NOTES
from capturestation.ui.bench.room import Room
from capturestation.ui.bench.seeing import MEASURES
from capturestation.ui.bench.tools import EARLIER, SEND, SKETCH
from capturestation.ui.bench.whole import Bench
from capturestation.ui.look import SCALES, Look
from capturestation.ui.style import dress
from capturestation.ui.window import Window
from capturestation.ui.work import Workers
from tests.helpers.station_library import Filled
from tests.helpers.walked_window import cut_short, overlapping, sticking_out
from tests.ui.bench.conftest import StillFrames, seen_of

SIZES = ((1280, 720), (1366, 768), (1920, 1080), (2560, 1440))
LEAST_SHARE = 0.45
REACHED = {
    View.FACE_ON: Box(left=0.2, top=0.06, right=0.81, bottom=0.99),
    View.DOWN_THE_LINE: Box(left=0.33, top=0.01, right=0.64, bottom=1.0),
}
"""How far the swings of the invented session reach."""
FOCUS = "pelvis square by lead arm level on the way down"
ON_BENCH = (Bar, Canvas)
DAMAGED = LibraryError(
    "lessons/library.sqlite is damaged (file is not a database).",
    try_next="Rebuild the library from its folders; no recording is touched.",
)


def lying(library: Library, swing: SwingId, word: str) -> SeenSwing:
    """A swing of usual pictures: those of the tests' recordings are too small to be enlarged."""
    seen = seen_of(library.swing(swing), word)
    frames = {view: StillFrames(size_px=(1280, 720)) for view in seen.frames}
    return SeenSwing(swing=seen.swing, frames=frames, word=word)


@pytest.fixture
def window(
    qtbot: QtBot, undressed: QApplication, library: Library, tmp_path: Path, filled: Filled
) -> Iterator[Window]:
    """The window as it is, both swings on the Bench, its pictures cut to where they reach."""
    look = Look()
    dress(undressed, look)
    cache = cache_of(library, tmp_path / "caches")

    def kind(library: Library, workers: Workers, look: Look, steps: UndoList) -> Bench:
        return Bench(library, workers, look, steps, cache=cache)

    made = Window(Desk(), tmp_path / "window.json", look, (kind,))
    made.show()
    made.enter(library)
    bench = bench_of(made)
    bench.fitter.close_fitting()
    made.go_to("bench")
    now, then = (
        lying(library, one.id, word)
        for one, word in ((filled.today, "today"), (filled.best, "own best"))
    )
    bench.take_opened(Opened(now=now, then=then, focus=(FOCUS,)))
    bench.state.show_boxes(REACHED)
    qtbot.waitUntil(lambda: bench.tools.sketcher.looks_at(filled.today.id), timeout=10_000)
    yield made
    made.close()
    look.changed.disconnect()


def bench_of(window: Window) -> Bench:
    place = window.places["bench"]
    assert isinstance(place, Bench)
    return place


def at_every_size(
    window: Window, qapp: QApplication, look_at_it: Callable[[], list[str]]
) -> dict[str, list[str]]:
    """What is found at each size of window and letters, where there is anything."""
    found = {}
    for scale in SCALES:
        window.look.enlarge(scale)
        for size in SIZES:
            window.resize(*size)
            qapp.processEvents()
            qapp.processEvents()
            found[f"{size} at {scale}"] = look_at_it()
    return {where: what for where, what in found.items() if what}


def picture_share(window: Window) -> float:
    """How much of the window's height the pictures have; those below one another count all."""
    fields = bench_of(window).canvas.fields
    return sum({f.place.rect.top: f.place.rect.height for f in fields}.values()) / window.height()


@pytest.mark.parametrize("arrangement", list(Arrangement))
def test_pictures_have_nearly_half_of_the_height(
    window: Window, qapp: QApplication, arrangement: Arrangement
) -> None:
    bench_of(window).state.arrange(arrangement)

    def too_little() -> list[str]:
        share = picture_share(window)
        return [f"{share:.3f}"] if share < LEAST_SHARE else []

    assert at_every_size(window, qapp, too_little) == {}


@pytest.mark.parametrize("panel", [None, SKETCH, EARLIER, SEND, NOTES, MEASURES])
def test_nothing_overlaps_sticks_out_or_is_cut_short(
    window: Window, qapp: QApplication, panel: str | None, qtbot: QtBot
) -> None:
    bench_of(window).show_panel(panel)
    read = bench_of(window).seeing.measures.is_read
    qtbot.waitUntil(lambda: panel != MEASURES or read(), timeout=10_000)

    def amiss() -> list[str]:
        return [
            *overlapping(window, *ON_BENCH),
            *sticking_out(window, *ON_BENCH),
            *cut_short(window),
        ]

    assert at_every_size(window, qapp, amiss) == {}


def test_a_curve_below_the_bar_leaves_pictures_a_third(window: Window, qapp: QApplication) -> None:
    bench_of(window).seeing.toggle_curve()

    def amiss() -> list[str]:
        share = picture_share(window)
        kinds = (*ON_BENCH, CurvePane)
        too_little = [f"{share:.3f}"] if share < 0.33 else []
        return [*too_little, *overlapping(window, *kinds), *sticking_out(window, *kinds)]

    assert at_every_size(window, qapp, amiss) == {}


def test_beside_an_open_panel_pictures_keep_more_than_a_third(
    window: Window, qapp: QApplication
) -> None:
    bench_of(window).show_panel(EARLIER)

    def too_little() -> list[str]:
        share = picture_share(window)
        return [f"{share:.3f}"] if share < 0.37 else []

    assert at_every_size(window, qapp, too_little) == {}


def test_the_focus_is_seen_at_every_size(window: Window, qapp: QApplication) -> None:
    bench = bench_of(window)

    def unseen() -> list[str]:
        large, low = bench.head.focus, window.caption
        is_roomy = bench.room is Room.ROOMY
        said = large.text() if is_roomy and large.isVisible() else low.sentence
        return [] if said == FOCUS else [said]

    assert at_every_size(window, qapp, unseen) == {}


def test_while_a_trouble_is_told_pictures_still_have_a_quarter(
    window: Window, qapp: QApplication
) -> None:
    window.tell_trouble(DAMAGED)

    def too_little() -> list[str]:
        share = picture_share(window)
        return [f"{share:.3f}"] if share < 0.25 else []

    assert at_every_size(window, qapp, too_little) == {}
