"""Drawings made up for tests, and a canvas on which a picture fills everything."""

from __future__ import annotations

from hypothesis import strategies as st

from capturestation.drawing.rect import Rect
from capturestation.drawing.sketch_lines import SketchField
from capturestation.records import Drawing, Pen, Point, Shape, View

WIDTH, HEIGHT = 1280, 720


def whole_field(width: int = WIDTH, height: int = HEIGHT, scale: float = 1.0) -> SketchField:
    """A picture that fills a canvas of that size."""
    return SketchField(
        to_canvas=lambda at: (at.x * width, at.y * height),
        bounds=Rect(left=0, top=0, width=width, height=height),
        scale=scale,
    )


def at(x: float, y: float) -> Point:
    """A place in shares."""
    return Point(x=x, y=y)


def drawing(
    shape: Shape,
    *points: tuple[float, float],
    pen: Pen = Pen.FIRST,
    words: str = "",
    view: View = View.FACE_ON,
) -> Drawing:
    """One drawing on the face-on view."""
    places = tuple(at(*point) for point in points)
    return Drawing(view=view, shape=shape, points=places, pen=pen, words=words)


LINE = drawing(Shape.LINE, (0.1, 0.1), (0.4, 0.1))
ONE_OF_EACH = (
    LINE,
    drawing(Shape.ANGLE, (0.5, 0.2), (0.5, 0.5), (0.7, 0.5), pen=Pen.SECOND),
    drawing(Shape.ELLIPSE, (0.1, 0.3), (0.3, 0.6), pen=Pen.THIRD),
    drawing(Shape.FREE, (0.8, 0.1), (0.85, 0.2), (0.8, 0.3), pen=Pen.FOURTH),
    drawing(Shape.TEXT, (0.1, 0.75), words="hold it"),
    drawing(Shape.PLUMB, (0.9, 0.6), pen=Pen.SECOND),
)

_shares = st.floats(0.0, 1.0)
drawings = st.one_of(
    st.sampled_from(ONE_OF_EACH),
    st.builds(
        lambda a, b, pen: drawing(Shape.LINE, a, b, pen=pen),
        st.tuples(_shares, _shares),
        st.tuples(_shares, _shares),
        st.sampled_from(Pen),
    ),
)
