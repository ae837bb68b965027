"""Killed in the midst of drawing or sending: what was done is there, and nothing half shows."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Shape, View
from tests.helpers.hand_on_window import Hand, hand_on
from tests.helpers.real_window import Screen, until
from tests.helpers.seen_window import Spread
from tests.helpers.station_library import Filled, everything_in

pytestmark = [pytest.mark.process, pytest.mark.slow]


def at_today(hand: Hand, filled: Filled) -> Spread:
    """Open today's swing with a line in the hand; where its face-on picture stands."""
    hand.press("11:00  7 iron")
    hand.press("Look at it")
    hand.until_bench(lambda seen: seen.now == filled.today.id, "today's swing")
    hand.on.key("1")
    line = "What to draw: Line"
    hand.until(lambda seen: any(t.name.startswith(line) and t.is_chosen for t in seen.things), line)
    bench = hand.until_bench(
        lambda seen: seen.is_settled and {p.side for p in seen.pictures} == {"now"}, "today alone"
    )
    return next(picture.where for picture in bench.pictures if picture.view is View.FACE_ON)


def kill(process: subprocess.Popen[str]) -> None:
    """End a program as a power cut does."""
    process.kill()
    process.communicate(timeout=40)


def left_behind(on: Screen) -> list[Path]:
    """Every clip, whole or half, and all about it, anywhere below what the program calls home."""
    found = on.memory.parent.rglob("*")
    return [path for path in found if ".clips" in path.parts and path.is_file()]


def test_a_line_that_was_let_go_is_kept_and_one_in_the_hand_is_not(
    shared: Filled, on: Screen
) -> None:
    with hand_on(on, shared.folder) as hand:
        where = at_today(hand, shared)
        hand.drag(where.at(0.2, 0.3), where.at(0.7, 0.8))
        hand.until_bench(lambda seen: seen.drawings == 1, "one line")
        on.hold(where.at(0.3, 0.8), where.at(0.8, 0.3))
        hand.until(lambda seen: bool(seen.bench and seen.bench.drawings == 2), "one in the hand")
        kill(hand.process)
        on.let_go()

    with hand_on(on, shared.folder) as again:
        at_today(again, shared)
        shown = again.until_bench(lambda seen: seen.drawings > 0, "what is drawn")
        errors = again.quit()
    with Library.open(shared.folder) as library:
        (kept,) = library.swing(shared.today.id).book.drawings
    assert (shown.drawings, errors) == (1, "")
    assert kept.shape is Shape.LINE
    assert kept.points[0].y < kept.points[1].y


def test_a_clip_that_was_being_made_leaves_nothing_and_is_made_the_next_time(
    shared: Filled, on: Screen
) -> None:
    before = everything_in(shared.folder)
    with hand_on(on, shared.folder) as hand:
        at_today(hand, shared)
        on.key("ctrl+s", "ctrl+s")
        until(lambda: any(path.suffix == ".partial" for path in left_behind(on)), "half a clip")
        kill(hand.process)
    half = left_behind(on)

    with hand_on(on, shared.folder) as again:
        until(lambda: left_behind(on) == [], "what was half is gone")
        at_today(again, shared)
        fresh = again.seen()
        on.key("ctrl+s", "ctrl+s")
        again.until(lambda seen: "Ready:" in seen.says, "the clip is ready")
        errors = again.quit()

    assert half
    assert (fresh.named("The clip"), fresh.is_busy) == (None, False)
    assert everything_in(shared.folder) == before
    assert (errors, left_behind(on)) == ("", [])
