"""A lesson in a real window by mouse and keys: find, look, lay the best over, mark, draw, send."""

from __future__ import annotations

from fractions import Fraction
from functools import reduce
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from capturestation.drawing.layout import LayoutName
from capturestation.library import Library
from capturestation.media.frames import FrameReader
from capturestation.records import MarkSource, Moment, Quiet, Shape, Swing, View
from capturestation.station.clips import ClipWish, MadeClip, clip_of
from capturestation.station.laying import Over
from tests.helpers.hand_on_window import Hand, hand_on
from tests.helpers.real_window import Screen
from tests.helpers.seen_window import Seen, SeenBench
from tests.helpers.station_library import Filled

pytestmark = [pytest.mark.process, pytest.mark.slow, pytest.mark.usefixtures("qapp")]
LINE = ((0.25, 0.35), (0.7, 0.8))
"""What is drawn, shares of the picture."""
TOP_BY_HAND = (Moment.TOP, MarkSource.HAND)
FRAME_NS = 16_666_667
STANDS = 24
"""Frames for which a clip stands still at a moment: 0.8 s."""
PIXEL = 1.5 / 200
"""A pixel and a half of a picture on the screen, none of which is less high."""
DRAWN = 60
# Of 255: a line differs more from what is below it than two encodings of one picture do, but for
# single points at the edge of a fast club, where it was seen to be 90.
POINT = 4
"""Pixels of such a point."""


def is_chosen(seen: Seen, name: str) -> bool:
    """Whether a word is seen and chosen."""
    thing = seen.named(name)
    return thing is not None and thing.is_chosen


def found(hand: Hand) -> None:
    """Find the student by a name's first letters, and press the print of today's swing."""
    hand.on.key("ctrl+f")
    hand.on.type("angs")
    hand.until(lambda seen: "angs" in seen.says, "the field has what was typed")
    hand.on.key("Return")
    hand.press("11:00  7 iron")
    hand.press("Look at it")


def scrubbed(hand: Hand, bench: SeenBench) -> tuple[int, int]:
    """Two frames on and one back by keys, then along the line by the mouse."""
    hand.on.key("Right", "Right", "Left")
    stepped = hand.until_bench(lambda seen: seen.at_ns > bench.at_ns, "a frame on")
    hand.drag(bench.line.at(0.2, 0.5), bench.line.at(0.4, 0.5))
    wanted_ns = round(bench.start_ns + 0.4 * (bench.stop_ns - bench.start_ns))
    dragged = hand.until_bench(lambda seen: abs(seen.at_ns - wanted_ns) < FRAME_NS, "dragged")
    return stepped.at_ns, dragged.at_ns


def top_of(bench: SeenBench) -> int:
    """When the top is."""
    return next(told.at_ns for told in bench.moments if told.moment is Moment.TOP)


def moved_top(hand: Hand, bench: SeenBench) -> SeenBench:
    """Drag the word of the top a little towards impact; what lies there once it is written."""
    word = next(told.word for told in bench.moments if told.moment is Moment.TOP)
    assert word is not None
    x, y = word.middle
    hand.drag((x, y), (x + 40, y))
    return hand.until_bench(lambda seen: top_of(seen) != top_of(bench), "the top is elsewhere")


def drawn(hand: Hand) -> None:
    """Draw a line on today's face-on picture."""
    hand.on.key("1")
    hand.until(lambda seen: is_chosen(seen, "What to draw: Line"), "the line is taken up")
    bench = hand.until_bench(
        lambda seen: {p.side for p in seen.pictures} == {"now"}, "both lie over one another"
    )
    where = next(p.where for p in bench.pictures if p.view is View.FACE_ON)
    hand.drag(where.at(*LINE[0]), where.at(*LINE[1]))
    hand.until_bench(lambda seen: seen.drawings == 1, "the line is drawn")


def sent(hand: Hand, folder: Path) -> Path:
    """Make the clip at real speed and save it in a folder chosen in the dialog."""
    hand.press("Send")
    hand.thing("Make the clip")
    hand.scroll_to("Speed: real", over="What it shows")
    hand.press("Speed: real")
    hand.until(lambda seen: is_chosen(seen, "Speed: real"), "real speed is chosen")
    hand.on.key("ctrl+s")
    hand.until(lambda seen: "Ready:" in seen.says, "the clip is ready")
    hand.press("Save in a folder")
    hand.until(lambda seen: seen.at_keyboard == "QLineEdit", "the dialog waits for a name")
    hand.on.type(str(folder))
    hand.on.key("Return")
    hand.until(lambda seen: "Saved as" in seen.says, "the clip is saved")
    hand.on.take_keyboard("capturestation")
    return next(folder.iterdir())


def read_back(path: Path) -> list[NDArray[np.uint8]]:
    """All frames of a clip."""
    with FrameReader(path) as clip:
        return [clip.frame_rgb(number) for number in range(len(clip))]


def without_drawing(library: Library, filled: Filled, folder: Path) -> MadeClip:
    """The same clip as the station makes it, laid over as on the Bench, with nothing drawn."""
    both = LayoutName.BOTH_ANGLES
    wish = ClipWish(layout=both, slow=Fraction(1), drawings=False, over=Over())
    out = folder / "nothing drawn.mp4"
    return clip_of(library, filled.today.id, filled.best.id, wish, out, Quiet())


def check_kept(swing: Swing, moved: SeenBench) -> None:
    """The mark that was moved and the line that was drawn are in the library."""
    mark = next(m for m in swing.book.marks if (m.moment, m.source) == TOP_BY_HAND)
    (line,) = swing.book.drawings
    ends = [(point.x, point.y) for point in line.points]
    assert mark.at_ns == top_of(moved) == moved.at_ns
    assert (line.shape, line.view) == (Shape.LINE, View.FACE_ON)
    assert np.allclose(ends, LINE, atol=PIXEL)


def check_clip(clip: Path, plain: MadeClip, top_frame: int) -> None:
    """It is that clip, stands still at the moved top, and the line is on one picture alone."""
    place, shown = plain.report.placements["now face-on"], plain.report.sources["now face-on"]
    sent_frames, plain_frames = read_back(clip), read_back(plain.report.path)
    assert len(sent_frames) == len(plain_frames) == plain.report.frames
    assert np.count_nonzero(shown == top_frame) >= STANDS
    for sent_one, plain_one in zip(sent_frames, plain_frames, strict=True):
        changed = reduce(np.maximum, cv2.split(cv2.absdiff(sent_one, plain_one))) > DRAWN
        inside = changed[place.target.cut].copy()
        assert 0 < inside.mean() < 0.05
        changed[place.target.cut] = False
        if changed.any():
            opened = ndimage.binary_opening(changed, np.ones((2, 2)))
            # The coloured rule's end differs by one such point in one picture; a line is long.
            assert np.count_nonzero(opened) <= POINT, "a line is elsewhere"


def test_find_look_lay_over_mark_draw_send_and_read_back(
    shared: Filled, on: Screen, tmp_path: Path
) -> None:
    out = tmp_path / "to hand on"
    out.mkdir()
    with hand_on(on, shared.folder) as hand:
        found(hand)
        opened = hand.until_bench(lambda seen: seen.now == shared.today.id, "today's swing")
        stepped_ns, dragged_ns = scrubbed(hand, opened)
        hand.on.key("o")
        hand.until_bench(lambda seen: seen.then == shared.best.id, "the own best lies over it")
        moved = moved_top(hand, hand.bench())
        drawn(hand)
        clip = sent(hand, out)
        errors = hand.quit()

    assert (opened.at_ns, errors) == (0, "")
    assert 0 < stepped_ns < 2 * FRAME_NS
    assert dragged_ns < top_of(opened) < top_of(moved) < 0
    with Library.open(shared.folder) as library:
        check_kept(library.swing(shared.today.id), moved)
        check_clip(clip, without_drawing(library, shared, tmp_path), moved.pictures[0].frame)
    assert list((on.memory.parent / "small").iterdir()) == []
