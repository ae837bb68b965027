"""The look: large enough, told apart, and changed by steps that are told."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtGui import QColor, QPalette
from pytestqt.qtbot import QtBot

from capturestation.ui.look import SCALES, ColourName, Look, SizeName, Theme

READ: tuple[tuple[ColourName, ColourName], ...] = (
    ("ink", "paper"),
    ("ink", "shade"),
    ("ink", "field"),
    ("ink", "calm"),
    ("ink", "trouble"),
    ("soft", "paper"),
    ("soft", "shade"),
    ("soft", "field"),
    ("chosen_ink", "chosen"),
    ("paper", "ink"),
)
SEEN: tuple[tuple[ColourName, ColourName], ...] = (
    ("now", "paper"),
    ("then", "paper"),
    ("focus", "paper"),
    ("focus", "trouble"),
)


def luminance(colour: QColor) -> float:
    """Relative luminance as WCAG 2 defines it."""
    parts = (colour.redF(), colour.greenF(), colour.blueF())
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio as WCAG 2 defines it, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", Theme)
@pytest.mark.parametrize(("letters", "ground"), READ)
def test_letters_are_read_on_their_ground(
    theme: Theme, letters: ColourName, ground: ColourName
) -> None:
    look = Look(theme)

    assert contrast(look.colour(letters), look.colour(ground)) >= 4.5


@pytest.mark.parametrize("theme", Theme)
@pytest.mark.parametrize(("mark", "ground"), SEEN)
def test_marks_are_seen_on_their_ground(theme: Theme, mark: ColourName, ground: ColourName) -> None:
    look = Look(theme)

    assert contrast(look.colour(mark), look.colour(ground)) >= 3.0


@pytest.mark.parametrize("theme", Theme)
def test_both_themes_have_every_colour_and_dark_is_not_black(theme: Theme) -> None:
    look = Look(theme)

    assert all(look.colour(name).isValid() for name in get_args(ColourName))
    assert look.colour("paper") != QColor(0, 0, 0)
    assert look.palette().color(QPalette.ColorRole.Window) == look.colour("paper")


def test_what_is_pressed_is_large_at_every_scale() -> None:
    assert all(Look(scale=scale).px("target") >= 44 * scale for scale in SCALES)


def test_letters_double_at_two_hundred_percent_and_distances_stay() -> None:
    small, large = Look(scale=1.0), Look(scale=2.0)
    names: tuple[SizeName, ...] = get_args(SizeName)

    grown = {name for name in names if large.px(name) == 2 * small.px(name)}
    same = {name for name in names if large.px(name) == small.px(name)}

    assert grown == {"note", "body", "head", "title", "huge", "target"}
    assert same == set(names) - grown
    assert large.font("head").pixelSize() == large.px("head")


def test_a_change_is_told_once_and_no_change_is_not(qtbot: QtBot) -> None:
    look = Look()
    told: list[int] = []
    look.changed.connect(lambda: told.append(1))

    look.choose(Theme.DARK)
    look.choose(Theme.DARK)
    look.larger()
    look.enlarge(look.scale)

    assert len(told) == 2


@given(st.floats(min_value=0.1, max_value=9.0))
def test_the_scale_stays_between_one_and_two(scale: float) -> None:
    assert 1.0 <= Look(scale=scale).scale <= 2.0


@given(st.sampled_from(SCALES[:-1]))
def test_a_step_down_takes_a_step_up_back(scale: float) -> None:
    look = Look(scale=scale)

    look.larger()
    look.smaller()

    assert look.scale == scale


def test_the_ends_hold() -> None:
    look = Look(scale=SCALES[-1])

    look.larger()
    largest = look.scale
    for _ in range(len(SCALES) + 2):
        look.smaller()

    assert largest == SCALES[-1]
    assert look.scale == SCALES[0]
