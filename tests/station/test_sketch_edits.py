"""Changes to a row of drawings can be taken back, also where others changed it meanwhile."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from capturestation.records import Drawing
from capturestation.station.sketch_edits import Edit, all_gone, edited, taken_back
from tests.helpers.sketches import LINE, ONE_OF_EACH, drawings

rows = st.lists(drawings, max_size=6).map(tuple)


@st.composite
def rows_with_edits(draw: st.DrawFn) -> tuple[tuple[Drawing, ...], list[Edit]]:
    row = draw(rows)
    edits, now = [], row
    for _ in range(draw(st.integers(0, 4))):
        place = draw(st.integers(0, len(now)))
        before = now[place] if place < len(now) and draw(st.booleans()) else None
        after = draw(drawings) if before is None or draw(st.booleans()) else None
        edits.append(Edit(place=place, before=before, after=after))
        now = edited(now, edits[-1:])
    return row, edits


@given(rows_with_edits())
def test_what_is_taken_back_leaves_the_row_as_it_was(
    made: tuple[tuple[Drawing, ...], list[Edit]],
) -> None:
    row, edits = made

    assert edited(edited(row, edits), taken_back(edits)) == row


@given(rows)
def test_all_that_went_comes_back_in_its_order(row: tuple[Drawing, ...]) -> None:
    gone = all_gone(row)

    assert edited(row, gone) == ()
    assert edited((), taken_back(gone)) == row


def test_a_drawing_is_found_where_another_window_s_pushed_it() -> None:
    angle, ellipse = ONE_OF_EACH[1:3]
    edit = Edit(place=0, before=LINE, after=angle)

    assert edited((ellipse, LINE), [edit]) == (ellipse, angle)


def test_a_drawing_that_another_window_took_away_is_passed_over() -> None:
    rest = ONE_OF_EACH[1:]

    assert edited(rest, [Edit(place=0, before=LINE, after=None)]) == rest
