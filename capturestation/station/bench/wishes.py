"""Which pictures are wanted for the fields as they stand: frames, and where they lie.

Owns the way from the state and the fields' places to one description of each field's picture, by
which it is made, kept and found again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from capturestation.drawing.bench_place import FieldPlace, Matrix
from capturestation.drawing.grid import Cell, Side
from capturestation.drawing.theme import Colour
from capturestation.records import FloatArray, View
from capturestation.station.bench.state import Arrangement, BenchState


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameWish:
    """One frame and where it lies: its own coordinates, from its edge, to the field's."""

    side: Side
    ordinal: int
    matrix: Matrix


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureWish:
    """A field's picture; two that are equal are the same pixels.

    Args:
        view: Whose frames.
        size_px: The field's width and height.
        base: What lies below.
        over: What lies over it.
        opacity: Of what lies over.
        paper: What shows beside the pictures.
    """

    view: View
    size_px: tuple[int, int]
    base: FrameWish
    over: FrameWish | None
    opacity: float
    paper: Colour


def wishes_at(
    state: BenchState, places: Mapping[Cell, FieldPlace], at_ns: int, paper: Colour
) -> dict[Cell, PictureWish]:
    """The picture of each field that has one, at a position on today's clock."""
    wishes = {}
    for cell, place in places.items():
        shown = state.shown(cell, at_ns)
        if shown is None:
            continue
        over = _over(state, cell, place, at_ns)
        wishes[cell] = PictureWish(
            view=cell[1],
            size_px=(place.rect.width, place.rect.height),
            base=FrameWish(side=cell[0], ordinal=shown.ordinal, matrix=place.matrix),
            over=over,
            opacity=state.opacity if over else 1.0,
            paper=paper,
        )
    return wishes


def _over(state: BenchState, cell: Cell, place: FieldPlace, at_ns: int) -> FrameWish | None:
    if state.arrangement is not Arrangement.OVER or cell[0] is not Side.NOW:
        return None
    shown = state.shown((Side.THEN, cell[1]), at_ns)
    if shown is None:
        return None
    matrix = place.array @ now_from_then(state, cell[1])
    return FrameWish(side=Side.THEN, ordinal=shown.ordinal, matrix=tuple(matrix.ravel().tolist()))


def now_from_then(state: BenchState, view: View) -> FloatArray:
    """The earlier picture's coordinates to today's, both from the edge, (3, 3).

    As it was placed, moved further by hand.

    Raises:
        KeyError: If one of the two has no such angle.
    """
    if state.now is None or state.then is None:
        raise KeyError(view)
    now, then = state.now.frames[view].size_px, state.then.frames[view].size_px
    laid = state.laid(view)
    placed = _same_height(now, then) if laid is None else laid.from_edges
    moved: FloatArray = state.nudge(view).matrix(now) @ placed
    return moved


def _same_height(now: tuple[int, int], then: tuple[int, int]) -> FloatArray:
    """As high as each other, about one middle: what is right where nothing was pointed out."""
    scale = now[1] / then[1]
    matrix = np.diag([scale, scale, 1.0])
    matrix[0, 2] = (now[0] - scale * then[0]) / 2
    return matrix
