"""The earlier picture is laid over today's by what was pointed out in both."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from capturestation.compare.overlay import (
    MOST_ENLARGED,
    MOST_TURNED_DEG,
    PictureSize,
    Placing,
    lay_over,
    spots_of,
)
from capturestation.records import PLACE_SPOTS, FloatArray, MarkSource, Point, Spot, SpotMark, View

WIDE = PictureSize(width_px=1280, height_px=720)
LARGE = PictureSize(width_px=1920, height_px=1080)
UPRIGHT = PictureSize(width_px=720, height_px=1280)
BALL, CORNER, OTHER = PLACE_SPOTS
PLACE = {BALL: Point(x=0.52, y=0.9), CORNER: Point(x=0.6, y=0.84), OTHER: Point(x=0.4, y=0.85)}

shares = st.floats(0.0, 1.0).map(lambda share: round(share, 4))
points = st.builds(Point, x=shares, y=shares)
sizes = st.builds(PictureSize, width_px=st.integers(160, 3840), height_px=st.integers(160, 3840))


def pixels(points: dict[Spot, Point], size: PictureSize) -> FloatArray:
    return np.array(
        [(p.x * size.width_px - 0.5, p.y * size.height_px - 0.5) for p in points.values()]
    )


def as_shares(points_px: FloatArray, size: PictureSize) -> list[Point]:
    return [
        Point(x=float((x + 0.5) / size.width_px), y=float((y + 0.5) / size.height_px))
        for x, y in points_px
    ]


def turned(
    points_px: FloatArray, *, deg: float, scale: float, shift: tuple[float, float]
) -> FloatArray:
    cos, sin = scale * math.cos(math.radians(deg)), scale * math.sin(math.radians(deg))
    moved: FloatArray = points_px @ np.array([[cos, sin], [-sin, cos]]) + shift
    return moved


@given(
    three=st.lists(points, min_size=2, max_size=3, unique=True),
    size=sizes,
    deg=st.floats(-0.99 * MOST_TURNED_DEG, 0.99 * MOST_TURNED_DEG),
    grown=st.floats(1.01 / MOST_ENLARGED, 0.99 * MOST_ENLARGED),
    shift=st.tuples(st.floats(-300, 300), st.floats(-300, 300)),
)
def test_a_turn_scale_and_shift_is_found_exactly(
    three: list[Point], size: PictureSize, deg: float, grown: float, shift: tuple[float, float]
) -> None:
    then = dict(zip(PLACE_SPOTS, three, strict=False))
    then_px = pixels(then, size)
    assume(np.linalg.norm(np.ptp(then_px, axis=0)) > 0.1 * max(size.width_px, size.height_px))
    now_px = turned(then_px, deg=deg, scale=grown, shift=shift)
    now = dict(zip(then, as_shares(now_px, size), strict=True))

    placing = lay_over(now, then, size, size)

    assert placing.to_now(then_px) == pytest.approx(now_px, abs=1e-6)
    assert placing.by == tuple(then)
    assert (placing.apart_px is None) == (len(three) == 2)


@given(now=points, then=points, now_size=sizes, then_size=sizes, spot=st.sampled_from(PLACE_SPOTS))
def test_one_spot_meets_itself_and_the_picture_stays_as_large_as_filmed(
    now: Point, then: Point, now_size: PictureSize, then_size: PictureSize, spot: Spot
) -> None:
    placing = lay_over({spot: now}, {spot: then}, now_size, then_size)

    met = placing.to_now(pixels({spot: then}, then_size))
    assert met == pytest.approx(pixels({spot: now}, now_size), abs=1e-6)
    scale = now_size.height_px / then_size.height_px
    assert placing.now_from_then[:, :2] == pytest.approx(scale * np.eye(2))
    assert placing.said == f"Laid over by {spot} alone, as large as filmed."


@given(
    now=st.dictionaries(st.sampled_from(PLACE_SPOTS), points),
    then=st.dictionaries(st.sampled_from(PLACE_SPOTS), points),
    now_size=sizes,
    then_size=sizes,
)
def test_nobody_is_ever_mirrored_or_sheared(
    now: dict[Spot, Point], then: dict[Spot, Point], now_size: PictureSize, then_size: PictureSize
) -> None:
    linear = lay_over(now, then, now_size, then_size).now_from_then[:, :2]

    assert linear[0, 0] == pytest.approx(linear[1, 1])
    assert linear[0, 1] == pytest.approx(-linear[1, 0])
    assert np.linalg.det(linear) > 0


@given(
    three=st.lists(points, min_size=3, max_size=3, unique=True),
    deg=st.floats(-10, 10),
    grown=st.floats(0.7, 1.4),
)
@example(  # on the very limit of what is laid, where rounding once laid it one way only
    three=[Point(x=0.0, y=0.0), Point(x=1.0, y=0.0), Point(x=0.625, y=0.0)], deg=0.0, grown=0.75
)
def test_there_and_back_is_where_it_was(three: list[Point], deg: float, grown: float) -> None:
    then = dict(zip(PLACE_SPOTS, three, strict=True))
    then_px = pixels(then, WIDE)
    assume(np.linalg.norm(np.ptp(then_px, axis=0)) > 200)
    now_px = turned(then_px, deg=deg, scale=grown, shift=(20.0, -10.0))
    now = dict(zip(PLACE_SPOTS, as_shares(now_px, LARGE), strict=True))
    assume(not lay_over(now, then, LARGE, WIDE).said.startswith("Shifted"))

    there, back = lay_over(now, then, LARGE, WIDE), lay_over(then, now, WIDE, LARGE)

    corners = np.array([[0.0, 0.0], [1279.0, 0.0], [640.0, 719.0]])
    assert back.to_now(there.to_now(corners)) == pytest.approx(corners, abs=1e-6)


def test_three_spots_with_errors_are_laid_as_the_least_squares_of_a_known_library_lays_them() -> (
    None
):
    then_px = pixels(PLACE, WIDE)
    now_px = turned(then_px, deg=2.0, scale=1.1, shift=(14.0, -60.0))
    now_px += [(3.0, -2.0), (-2.0, 1.0), (1.0, 4.0)]
    now = dict(zip(PLACE, as_shares(now_px, WIDE), strict=True))

    placing = lay_over(now, PLACE, WIDE, WIDE)

    theirs, _ = cv2.estimateAffinePartial2D(then_px, now_px, method=cv2.LMEDS, refineIters=0)
    ours = np.linalg.norm(placing.to_now(then_px) - now_px, axis=1)
    other = np.linalg.norm(
        Placing(now_from_then=np.asarray(theirs, dtype=np.float64), said="").to_now(then_px)
        - now_px,
        axis=1,
    )
    assert (ours**2).sum() <= (other**2).sum() + 1e-9
    assert placing.apart_px == pytest.approx(ours.max())
    apart = f"{ours.max():.0f} px apart at most"
    assert placing.said == f"Laid over by ball and both mat corners; {apart}."


def test_least_squares_agree_with_the_solution_of_the_normal_equations() -> None:
    rng = np.random.default_rng(3)
    then_px = pixels(PLACE, WIDE)
    now_px = then_px + rng.normal(0, 5, then_px.shape)
    now = dict(zip(PLACE, as_shares(now_px, WIDE), strict=True))
    rows = [row for x, y in then_px for row in ((x, -y, 1, 0), (y, x, 0, 1))]

    a, b, tx, ty = np.linalg.lstsq(np.array(rows), now_px.ravel(), rcond=None)[0]

    found = lay_over(now, PLACE, WIDE, WIDE).now_from_then
    assert found == pytest.approx(np.array([[a, -b, tx], [b, a, ty]]), abs=1e-6)


def test_without_spots_both_pictures_fill_the_same_height_about_one_middle() -> None:
    placing = lay_over({}, {}, WIDE, UPRIGHT)

    edges = np.array([[-0.5, -0.5], [719.5, 1279.5]])
    assert placing.to_now(edges) == pytest.approx(np.array([[437.0, -0.5], [842.0, 719.5]]))
    assert placing.by == ()
    assert placing.said == "Not placed: point out the ball in both swings."


@pytest.mark.parametrize(
    ("now", "then", "said"),
    [
        ({BALL}, set(), "Not placed: point out the ball in the earlier swing too."),
        (
            set(),
            {BALL, CORNER},
            "Not placed: point out the ball and mat corner in today's swing too.",
        ),
        ({BALL}, {CORNER}, "Not placed: point out the same spot in both swings, best the ball."),
        ({BALL, CORNER}, {BALL, CORNER, OTHER}, "Laid over by ball and mat corner."),
        ({CORNER, OTHER}, {CORNER, OTHER}, "Laid over by both mat corners."),
    ],
)
def test_it_says_by_what_it_is_placed_and_what_is_missing(
    now: set[Spot], then: set[Spot], said: str
) -> None:
    ours, theirs = ({s: PLACE[s] for s in Spot if s in some} for some in (now, then))

    assert lay_over(ours, theirs, WIDE, WIDE).said == said


def test_corners_taken_for_each_other_do_not_turn_the_picture_upside_down() -> None:
    then = {CORNER: PLACE[OTHER], OTHER: PLACE[CORNER]}

    placing = lay_over({s: PLACE[s] for s in then}, then, WIDE, WIDE)

    assert placing.now_from_then[:, :2] == pytest.approx(np.eye(2))
    assert placing.said == (
        "Shifted only: by both mat corners the earlier picture would be turned by 180°. Check them."
    )
    assert placing.apart_px == pytest.approx(256, abs=2)


def test_a_golfer_four_times_as_large_is_a_spot_pointed_out_wrongly() -> None:
    now = {BALL: Point(x=0.1, y=0.9), CORNER: Point(x=0.42, y=0.66)}

    said = lay_over(now, {s: PLACE[s] for s in now}, WIDE, WIDE).said

    assert "would be made 4.0 times as large" in said
    assert "Check them." in said


def test_the_feet_never_lay_two_swings_over_one_another() -> None:
    feet = {Spot.LEAD_FOOT: PLACE[CORNER], Spot.TRAIL_FOOT: PLACE[OTHER]}
    elsewhere = {spot: Point(x=at.x + 0.1, y=at.y) for spot, at in feet.items()}

    alone = lay_over(feet, elsewhere, WIDE, WIDE)
    with_ball = lay_over(feet | {BALL: PLACE[BALL]}, elsewhere | {BALL: PLACE[BALL]}, WIDE, WIDE)

    assert alone.by == ()
    assert with_ball.by == (BALL,)
    assert with_ball.now_from_then == pytest.approx(np.eye(2, 3))


def test_spots_on_one_place_only_shift() -> None:
    near = {BALL: Point(x=0.5, y=0.9), CORNER: Point(x=0.505, y=0.9)}

    placing = lay_over(near, {BALL: near[CORNER], CORNER: near[BALL]}, WIDE, WIDE)

    assert placing.now_from_then[:, :2] == pytest.approx(np.eye(2))
    assert "too close together" in placing.said


def test_a_hand_s_place_counts_before_a_found_one_and_other_views_stay_out() -> None:
    hand = SpotMark(view=View.FACE_ON, spot=BALL, at=Point(x=0.5, y=0.9))
    found = SpotMark(view=View.FACE_ON, spot=BALL, at=Point(x=0.1, y=0.1), source=MarkSource.FOUND)
    other = SpotMark(view=View.DOWN_THE_LINE, spot=CORNER, at=Point(x=0.2, y=0.8))

    assert spots_of([hand, found, other], View.FACE_ON) == {BALL: hand.at}
    assert spots_of([found, hand, other], View.FACE_ON) == {BALL: hand.at}
    assert spots_of([found], View.FACE_ON) == {BALL: found.at}


def test_a_plane_map_fits_the_same_record() -> None:
    plane = np.array([[1.0, 0.0, 5.0], [0.0, 1.0, 0.0], [0.001, 0.0, 1.0]])

    moved = Placing(now_from_then=plane, said="by the board").to_now(np.array([[100.0, 50.0]]))

    assert moved == pytest.approx(np.array([[105 / 1.1, 50 / 1.1]]))
    with pytest.raises(ValueError, match=r"\(2, 3\) or \(3, 3\), got \(3,\)"):
        Placing(now_from_then=np.zeros(3), said="")


def test_a_picture_without_a_size_is_refused() -> None:
    with pytest.raises(ValueError, match="0x720"):
        PictureSize(width_px=0, height_px=720)
