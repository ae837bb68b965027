from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.drawing import clip_painter, sheet, theme
from capturestation.drawing.clip_captions import SIDE_COLOUR, Caption
from capturestation.drawing.clip_painter import ClipLabels, ClipPainter, ClipState
from capturestation.drawing.grid import Side
from capturestation.drawing.layout import LayoutName, column, layout_of
from capturestation.drawing.placing import Picture, middle
from capturestation.drawing.rect import Rect
from capturestation.drawing.sheet import Sheet
from capturestation.drawing.strip import Tick
from capturestation.records import Box, FrameArray, Moment, View
from tests.helpers.coded_media import paint_code, plain_scene, read_code
from tests.helpers.made_swings import MS

pytestmark = pytest.mark.usefixtures("qapp")

TICKS = tuple(
    Tick(moment=moment, at_ns=ms * MS, is_held=moment is Moment.TOP)
    for moment, ms in ((Moment.CLUB_STARTS, -900), (Moment.TOP, -250), (Moment.IMPACT, 0))
)


def painter(
    name: LayoutName = LayoutName.THEN_AND_NOW,
    keep_width: float = 1.0,
    boxes: dict[str, Box] | None = None,
) -> ClipPainter:
    picture = Picture(width_px=160, height_px=96, box=middle(keep_width))
    layout = layout_of(name, short_side_px=360, pictures=dict.fromkeys(View, picture))
    captions = {
        spot.name: Caption(whose=str(spot.side), day="30 Oct 2026", view=str(spot.view))
        for spot in layout.fields
    }
    labels = ClipLabels(captions=captions, ticks=TICKS, start_ns=-1000 * MS, stop_ns=500 * MS)
    return ClipPainter(layout, labels, boxes=boxes, keep_width=keep_width)


def pictures(of: ClipPainter) -> dict[str, FrameArray]:
    return {
        spot.name: paint_code(plain_scene(n), 100 + n) for n, spot in enumerate(of.layout.fields)
    }


def ink_share(canvas: FrameArray, rect: Rect) -> float:
    """How much of a rectangle is not paper."""
    away = np.abs(canvas[rect.cut].astype(np.int64) - np.array(theme.PAPER))
    return float((away.max(axis=2) > 60).mean())


@pytest.mark.parametrize("name", list(LayoutName))
def test_each_picture_stands_in_its_own_field(name: LayoutName) -> None:
    made = painter(name)
    shown = pictures(made)

    canvas = made.paint(shown, ClipState(now_ns=0))

    assert canvas.shape == (made.layout.height_px, made.layout.width_px, 3)
    for n, spot in enumerate(made.layout.fields):
        cut = made.placement(spot.name, 160, 96).target.cut
        assert read_code(canvas[cut]) == 100 + n


def test_a_picture_placed_before_is_painted_the_same() -> None:
    made = painter()
    shown = pictures(made)
    before = {name: made.place(name, frame) for name, frame in shown.items()}

    assert np.array_equal(
        made.paint(shown, ClipState(now_ns=0)), made.paint(before, ClipState(now_ns=0))
    )


def test_cut_sides_leave_the_middle_of_the_picture() -> None:
    made = painter(LayoutName.ALL_FOUR, keep_width=0.6)
    frame = np.zeros((96, 160, 3), dtype=np.uint8)
    frame[:, 40:120] = (250, 0, 0)

    placed = made.place("now face-on", frame)

    assert (placed.pixels[:, 20:-20, 0] > 200).all()
    assert placed.placement.width_share == pytest.approx(0.6, abs=0.03)


def test_a_field_shows_what_its_box_says_and_nothing_of_it_is_lost() -> None:
    box = Box(left=0.1, top=0.25, right=0.4, bottom=0.75)
    made = painter(LayoutName.BOTH_ANGLES, boxes={"now face-on": box})
    frame = np.zeros((960, 1600, 3), dtype=np.uint8)
    frame[240:720, 160:640, 0] = 250

    placed = made.place("now face-on", frame)

    red = placed.pixels[:, :, 0] > 125
    assert red.any(axis=0).sum() == pytest.approx(
        480 * placed.pixels.shape[0] / placed.placement.source.height, abs=2
    )
    assert red.any(axis=1).mean() == pytest.approx(480 / placed.placement.source.height, abs=0.01)
    assert placed.placement.height_share < 0.6


def test_captions_strip_and_names_carry_ink() -> None:
    made = painter()

    canvas = made.paint(pictures(made), ClipState(now_ns=-112 * MS))

    strip = made.layout.strip
    for rect in (strip.title, strip.readout, strip.bar, strip.words):
        assert ink_share(canvas, rect) > 0.005
    for spot in made.layout.fields:
        assert ink_share(canvas, spot.caption) > 0.02


@pytest.mark.parametrize("name", list(LayoutName))
def test_a_field_with_another_swing_over_it_names_both_over_a_rule_of_both_colours(
    name: LayoutName,
) -> None:
    layout = layout_of(name, short_side_px=720, names_both=True)
    spot = next(field for field in layout.fields if field.side is Side.NOW)
    alone = Caption(whose="today", day="30 Oct 2026", view=str(spot.view))
    captions = {field.name: alone for field in layout.fields}
    both = {**captions, spot.name: replace(alone, over="own best, 12 Sep 2026")}

    bare, named = (
        ClipPainter(
            layout, ClipLabels(captions=of, ticks=TICKS, start_ns=-1000 * MS, stop_ns=500 * MS)
        ).base
        for of in (captions, both)
    )

    assert ink_share(named, spot.caption) > 1.2 * ink_share(bare, spot.caption)
    rule = named[spot.caption.bottom - 2, spot.caption.left : spot.caption.right]
    assert tuple(rule[2]) == SIDE_COLOUR[Side.NOW]
    assert tuple(rule[-3]) == SIDE_COLOUR[Side.THEN]


def test_what_the_clip_holds_changes_the_title_only() -> None:
    made = painter()
    shown = pictures(made)

    playing = made.paint(shown, ClipState(now_ns=-250 * MS))
    held = made.paint(shown, ClipState(now_ns=-250 * MS, held=Moment.TOP))

    changed = (playing != held).any(axis=2)
    title = made.layout.strip.title
    assert changed[title.cut].any()
    changed[title.cut] = False
    assert not changed.any()


def test_the_marker_stands_at_the_time() -> None:
    made = painter()
    shown = pictures(made)
    bar = made.layout.strip.bar

    for at_ns in (-1000 * MS, -333 * MS, 500 * MS):
        canvas = made.paint(shown, ClipState(now_ns=at_ns))
        row = canvas[bar.top + bar.height // 2 - 4, bar.left : bar.right].astype(np.int64)
        blue = np.flatnonzero((np.abs(row - np.array(theme.BLUE)).max(axis=1)) < 30)
        middle = bar.left + blue.mean()
        assert abs(middle - column(bar, at_ns, -1000 * MS, 500 * MS)) <= 1


def test_two_times_are_written_where_the_earlier_swing_has_its_own() -> None:
    made = painter()
    shown = pictures(made)

    one = made.paint(shown, ClipState(now_ns=-112 * MS))
    two = made.paint(shown, ClipState(now_ns=-112 * MS, then_ns=-130 * MS))

    rect = made.layout.strip.readout
    rows = (np.abs(two[rect.cut].astype(int) - np.array(theme.PAPER)).max(axis=2) > 60).any(axis=1)
    assert np.count_nonzero(np.diff(rows.astype(int)) == 1) + int(rows[0]) == 2
    assert not np.array_equal(one[rect.cut], two[rect.cut])


def test_a_field_without_a_picture_says_so_on_quiet_paper() -> None:
    made = painter()
    shown = pictures(made)
    del shown["then face-on"]

    canvas = made.paint(shown, ClipState(now_ns=0))

    rect = made.layout.field("then face-on").rect
    cut = canvas[rect.cut].astype(np.int64)
    quiet = np.abs(cut - np.array(theme.PAPER_SHADE)).max(axis=2) == 0
    assert 0.9 < quiet.mean() < 1.0


def test_a_note_lies_in_the_pictures_corner() -> None:
    made = painter()
    shown = pictures(made)

    plain = made.paint(shown, ClipState(now_ns=0))
    noted = made.paint(shown, ClipState(now_ns=0, notes={"now face-on": "the recording ends"}))

    rect = made.placement("now face-on", 160, 96).target
    changed = (plain != noted).any(axis=2)
    assert changed[rect.bottom - 4, rect.left + 4]
    changed[rect.cut] = False
    assert not changed.any()


def test_a_mark_stands_on_each_picture_all_the_time_and_is_painted_once() -> None:
    plain = painter(LayoutName.ALL_FOUR)
    marked = ClipPainter(plain.layout, replace(plain.labels, mark="not to be handed on"))
    targets = {spot.name: spot.rect for spot in marked.layout.fields}

    early, late = (marked.patches(targets, ClipState(now_ns=ms * MS)) for ms in (-500, 200))

    corners = {(rect.left, rect.top) for rect in targets.values()}
    slips = [patch for patch in early if (patch.rect.left, patch.rect.top) in corners]
    assert len(slips) == len(targets)
    assert all(any(slip is other for other in late) for slip in slips)


def test_words_are_painted_again_only_when_they_change(monkeypatch: pytest.MonkeyPatch) -> None:
    made = painter()
    shown = pictures(made)
    painted: list[str] = []
    original = sheet.lines_on_paper

    def counting(
        width_px: int, height_px: int, lines: tuple[sheet.Line, ...], paper: theme.Colour
    ) -> FrameArray:
        painted.extend(line.words for line in lines)
        return original(width_px, height_px, lines, paper)

    monkeypatch.setattr(clip_painter, "lines_on_paper", counting)
    for at_ns in (-112 * MS, -112 * MS, -111 * MS):
        made.paint(shown, ClipState(now_ns=at_ns))

    assert painted == ["top → impact", "0.112 s before impact", "0.111 s before impact"]


def test_each_canvas_is_a_fresh_one() -> None:
    made = painter()
    shown = pictures(made)
    first = made.paint(shown, ClipState(now_ns=0))
    kept = first.copy()

    made.paint(shown, ClipState(now_ns=-500 * MS, held=Moment.TOP))

    assert np.array_equal(first, kept)


def test_a_field_without_a_caption_is_our_own_mistake() -> None:
    layout = layout_of(LayoutName.BOTH_ANGLES)

    with pytest.raises(KeyError):
        ClipPainter(layout, ClipLabels(captions={}, ticks=(), start_ns=0, stop_ns=1))


def test_a_sheet_keeps_its_colour_in_every_pixel_of_an_odd_width() -> None:
    pixels = Sheet(7, 3, (1, 2, 3)).pixels()

    assert pixels.shape == (3, 7, 3)
    assert (pixels == np.array([1, 2, 3])).all()


@pytest.mark.parametrize("px", range(12, 70, 3))
@pytest.mark.parametrize("moment", [Moment.TRAIL_ARM_LEVEL_THROUGH, Moment.LEAD_ARM_LEVEL_DOWN])
def test_a_text_that_is_said_to_fit_is_written_whole(moment: Moment, px: int) -> None:
    ink = sheet.Ink(px=px, bold=True)
    width = sheet.text_width(str(moment), ink)

    exact = sheet.lines_on_paper(width, 80, (sheet.Line(words=str(moment), ink=ink),), theme.PAPER)
    roomy = sheet.lines_on_paper(
        width + 40, 80, (sheet.Line(words=str(moment), ink=ink),), theme.PAPER
    )

    assert np.array_equal(exact, roomy[:, :width])
