from __future__ import annotations

from itertools import pairwise

import pytest

from capturestation.drawing.layout import LayoutName, layout_of
from capturestation.drawing.strip import Tick, phase_words, placed_words
from capturestation.records import Moment
from tests.helpers.made_swings import MS

TIMES_MS = (-1350, -1050, -780, -610, -268, -110, -45, 0, 42, 101, 780)
ALL = tuple(
    Tick(moment=moment, at_ns=ms * MS, is_held=moment in {Moment.TOP, Moment.SHAFT_LEVEL_DOWN})
    for moment, ms in zip(Moment, TIMES_MS, strict=True)
)


@pytest.mark.parametrize("name", [LayoutName.BOTH_ANGLES, LayoutName.BOTH_ANGLES_UPRIGHT])
@pytest.mark.usefixtures("qapp")
def test_names_below_the_bar_never_touch_and_impact_is_always_there(name: LayoutName) -> None:
    layout = layout_of(name)

    placed = placed_words(layout, ALL, -1400 * MS, 900 * MS)

    moments = [tick.moment for tick, _ in placed]
    assert {Moment.IMPACT, Moment.TOP} <= set(moments)
    assert Moment.SHAFT_LEVEL_THROUGH not in moments
    rects = [rect for _, rect in placed]
    assert all(one.right < other.left for one, other in pairwise(rects))
    row = layout.strip.words
    assert all(row.left <= rect.left and rect.right <= row.right for rect in rects)


@pytest.mark.usefixtures("qapp")
def test_a_moment_outside_the_clip_has_no_name_below_the_bar() -> None:
    placed = placed_words(layout_of(LayoutName.BOTH_ANGLES), ALL, -300 * MS, 200 * MS)

    moments = {tick.moment for tick, _ in placed}
    assert moments.isdisjoint({Moment.SET, Moment.FINISH, Moment.TAKEAWAY})


@pytest.mark.parametrize(
    ("at_ms", "words"),
    [
        (-2000, "before set"),
        (-268, "top → lead arm level, down"),
        (-1, "shaft level, down → impact"),
        (0, "impact → shaft level, through"),
        (900, "after finish"),
    ],
)
def test_what_lies_around_a_time_is_said_in_words(at_ms: int, words: str) -> None:
    assert phase_words(ALL, at_ms * MS) == words


def test_without_moments_there_is_nothing_to_say() -> None:
    assert phase_words((), 0) == ""
