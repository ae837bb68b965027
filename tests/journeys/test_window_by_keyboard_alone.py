"""A lesson in letters twice as large by the keyboard alone; what has it can always be seen."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import MarkSource, Moment, Swing
from capturestation.station.desk import read_desk
from tests.helpers.hand_on_window import Hand, hand_on
from tests.helpers.real_window import Screen, until
from tests.helpers.seen_window import Seen, SeenBench
from tests.helpers.station_library import Filled

pytestmark = [pytest.mark.process, pytest.mark.slow]


def top_of(bench: SeenBench) -> int:
    """When the top is."""
    return next(told.at_ns for told in bench.moments if told.moment is Moment.TOP)


def large(hand: Hand) -> None:
    """Make letters as large as they get."""
    before = hand.thing("Book").where.height
    hand.on.key(*["ctrl+plus"] * 5)
    hand.until(lambda seen: height_of(seen, "Book") > 1.4 * before, "letters are twice as large")


def height_of(seen: Seen, name: str) -> int:
    """How high a word stands; 0 where it isn't seen."""
    thing = seen.named(name)
    return thing.where.height if thing is not None else 0


def found(hand: Hand, swing: Swing) -> SeenBench:
    """Find the student and open the newest swing."""
    hand.on.key("ctrl+f")
    hand.on.type("zo")
    hand.until(lambda seen: seen.at_keyboard.startswith("Find") and "zo" in seen.says, "typed")
    hand.on.key("Return")
    hand.until(lambda seen: seen.chosen == swing.id, "the newest swing is chosen")
    hand.on.key("ctrl+Return")
    return hand.until_bench(lambda seen: seen.now == swing.id, "today's swing")


def moved_top(hand: Hand, opened: SeenBench) -> SeenBench:
    """Go to the top, two frames back, and say in the menu that it is here."""
    hand.on.key("bracketleft")
    hand.until_bench(lambda seen: seen.at_ns == top_of(opened), "at the top")
    hand.on.key("Left", "Left", "m")
    # The moment that one stands nearest to is chosen: up and down again finds it, too.
    hand.until(lambda seen: chosen(seen, "“top” is here"), "the line of the top")
    hand.on.key("Up", "Down")
    hand.until(lambda seen: chosen(seen, "“top” is here"), "the line of the top again")
    hand.on.key("Return")
    return hand.until_bench(lambda seen: top_of(seen) < top_of(opened), "the top is elsewhere")


def chosen(seen: Seen, name: str) -> bool:
    """Whether a line is seen and chosen."""
    thing = seen.named(name)
    return thing is not None and thing.is_chosen


def sent(hand: Hand, folder: Path) -> Path:
    """Make the clip with what is asked for already, and save it by name."""
    hand.on.key("g")
    hand.until(lambda seen: seen.at_keyboard.startswith("Make the clip"), "the main word waits")
    hand.on.key("Return")
    hand.until(lambda seen: seen.at_keyboard.startswith("The clip"), "the clip is in the hand")
    hand.on.key("Tab")
    hand.until(lambda seen: seen.at_keyboard.startswith("Save in a folder"), "saving is next")
    hand.on.key("space")
    hand.until(lambda seen: seen.at_keyboard == "QLineEdit", "the dialog waits for a name")
    hand.on.type(str(folder))
    hand.on.key("Return")
    until(lambda: any(folder.glob("*.mp4")), "the clip is saved")
    hand.on.take_keyboard("capturestation")
    return next(folder.iterdir())


def test_a_whole_lesson_at_two_hundred_per_cent_without_a_mouse(
    shared: Filled, on: Screen, tmp_path: Path
) -> None:
    out = tmp_path / "to hand on"
    out.mkdir()
    with hand_on(on, shared.folder) as hand:
        large(hand)
        opened = found(hand, shared.today)
        moved = moved_top(hand, opened)
        hand.on.key("o")
        hand.until_bench(lambda seen: seen.then == shared.best.id, "the own best lies over it")
        clip = sent(hand, out)
        hand.on.key("Escape")
        left = hand.until(lambda seen: seen.named("Make the clip") is None, "the panel is closed")
        hand.on.key("space")
        hand.until(lambda seen: bool(seen.bench and seen.bench.is_playing), "it plays")
        errors = hand.quit()

    assert errors == ""
    assert left.at_keyboard == "Time to impact, with the moments of the swing"
    assert (
        read_desk(on.memory.parent / "state" / "capturestation" / "window.json").desk.scale == 2.0
    )
    with Library.open(shared.folder) as library:
        marks = library.swing(shared.today.id).book.marks
        by_hand = [m.at_ns for m in marks if (m.moment, m.source) == (Moment.TOP, MarkSource.HAND)]
    assert by_hand == [top_of(moved)]
    with FrameReader(clip) as frames:
        assert len(frames) > 100
