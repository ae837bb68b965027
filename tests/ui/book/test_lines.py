"""Words on a line go on below where they are too long; nothing vital is cut."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PyQt6.QtGui import QFontMetrics

from capturestation.ui.book.lines import broken, laid_rows, row_px, rows_px
from capturestation.ui.look import Look

WORDS = st.lists(st.text("abcdefgh", min_size=1, max_size=12), min_size=1, max_size=12)


def metrics() -> QFontMetrics:
    return QFontMetrics(Look().font("note"))


@given(words=WORDS, width_px=st.integers(1, 400), most=st.integers(1, 4))
def test_no_line_is_wider_than_its_room_and_none_is_too_many(
    words: list[str], width_px: int, most: int
) -> None:
    lines = broken(metrics(), " ".join(words), width_px, most)

    assert 1 <= len(lines) <= most
    assert max(metrics().horizontalAdvance(line) for line in lines) <= max(
        width_px, metrics().horizontalAdvance("…")
    )


@given(words=WORDS)
def test_with_lines_enough_no_word_is_lost(words: list[str]) -> None:
    widest = max(metrics().horizontalAdvance(word) for word in words)

    lines = broken(metrics(), " ".join(words), widest, len(words))

    assert " ".join(lines).split() == words


def test_what_fits_stays_on_one_line_as_it_is() -> None:
    assert broken(metrics(), "15:37  7 iron", 900, 3) == ("15:37  7 iron",)


def test_a_double_name_that_is_too_wide_is_broken_after_its_hyphen() -> None:
    metric = metrics()
    width_px = metric.horizontalAdvance("Lüdenscheidt-")

    assert broken(metric, "Müller-Lüdenscheidt", width_px, 3) == ("Müller-", "Lüdenscheidt")
    assert broken(metric, "of down-the-line", 900, 3) == ("of down-the-line",)


@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_rows_are_as_high_as_their_lines(scale: float) -> None:
    look = Look(scale=scale)

    rows = laid_rows(look, ("Anna Berg", "No consent: student, parent"), 7 * look.px("body"))

    assert " ".join(words for _, words in rows) == "Anna Berg No consent: student, parent"
    small = sum(size == "note" for size, _ in rows)
    large = len(rows) - small
    assert small > 1
    assert rows_px(look, rows) == large * row_px(look, "body") + small * row_px(look, "note")
