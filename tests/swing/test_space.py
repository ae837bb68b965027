"""What points can be off by becomes what a measure can be off by, each cause by itself."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.swing.figure import HEAD, POINTS, Figure, Spread
from capturestation.swing.formulas import pelvis_turn, shaft_lean, shift_of
from capturestation.swing.space import HEAD_OPEN_M, parts_of, why_no_head, without_quick_heads
from capturestation.swing.tracks import Joint

SET_NS, TOP_NS = -1_300_000_000, -300_000_000
OWN_M, BAY_M, PHASE_M = 0.01, 0.02, 0.03
HIPS = (Joint.LEAD_HIP.place, Joint.TRAIL_HIP.place)


def standing(*, by_bay: np.ndarray[tuple[int, ...], np.dtype[np.float64]] | None = None) -> Figure:
    """Hips 30 cm apart at two instants, each known to a centimetre in every direction."""
    points = np.zeros((2, len(POINTS), 3))
    points[:, HIPS[0], 0], points[:, HIPS[1], 0] = 0.15, -0.15
    points[:, POINTS.index(HEAD)] = (0.0, 0.0, -1.0)
    steps = np.zeros((2, len(POINTS), 3, 1)) if by_bay is None else by_bay
    by_phase = np.zeros((2, len(POINTS), 3))
    by_phase[1, HIPS[0], 1] = PHASE_M
    spread = Spread(
        own=np.broadcast_to(OWN_M * np.eye(3), (2, len(POINTS), 3, 3)),
        by_bay=steps,
        by_phase=by_phase,
        head_open_m=np.array([0.0, 2.0 * HEAD_OPEN_M]),
    )
    times_ns = np.array([SET_NS, TOP_NS])
    return Figure(times_ns=times_ns, points=points, metres=1.0, spread=spread)


def test_points_that_are_off_each_by_itself_add_in_squares() -> None:
    parts = parts_of(standing(), pelvis_turn, TOP_NS, SET_NS)

    assert parts is not None
    assert parts.own == pytest.approx(np.degrees(np.sqrt(2.0) * OWN_M / 0.30), rel=0.01)


def test_a_shift_since_set_is_off_by_four_points_and_at_set_itself_by_none() -> None:
    forward = shift_of(Joint.LEAD_HIP, 0, 1.0)
    since, at_set = (parts_of(standing(), forward, at, SET_NS) for at in (TOP_NS, SET_NS))

    assert since is not None
    assert at_set is not None
    # Each middle of two points is known to 7 mm, and there are two middles.
    assert since.own == pytest.approx(OWN_M, rel=1e-6)
    assert at_set.own == pytest.approx(0.0, abs=1e-12)


def test_what_the_bay_moves_alike_cancels_in_a_difference() -> None:
    alike = np.zeros((2, len(POINTS), 3, 1))
    alike[..., 0, 0] = BAY_M
    turned = alike.copy()
    turned[1, HIPS[0], 1, 0] = BAY_M

    shift, turn = (
        parts_of(standing(by_bay=steps), measure, TOP_NS, SET_NS)
        for steps, measure in ((alike, shift_of(Joint.LEAD_HIP, 0, 1.0)), (turned, pelvis_turn))
    )

    assert shift is not None
    assert turn is not None
    assert shift.bay == pytest.approx(0.0, abs=1e-12)
    assert turn.bay == pytest.approx(np.degrees(np.arctan2(BAY_M, 0.30)), rel=0.01)


def test_the_clocks_move_only_what_is_quick() -> None:
    quick, still = (parts_of(standing(), pelvis_turn, at, SET_NS) for at in (TOP_NS, SET_NS))

    assert quick is not None
    assert still is not None
    assert quick.phase == pytest.approx(np.degrees(np.arctan2(PHASE_M, 0.30)), rel=0.01)
    assert still.phase == 0.0


def test_a_figure_by_pictures_has_no_such_parts() -> None:
    figure = standing()
    flat = Figure(times_ns=figure.times_ns, points=figure.points)

    assert parts_of(flat, pelvis_turn, TOP_NS, SET_NS) is None
    assert not flat.is_in_space


def test_a_club_head_that_is_too_quick_for_the_clocks_has_no_place_and_says_so() -> None:
    figure = without_quick_heads(standing())

    here, there = (figure.at(at)[HEAD] for at in (SET_NS, TOP_NS))

    assert np.isfinite(here).all()
    assert np.isnan(there).all()
    assert why_no_head(figure, SET_NS) == ""
    assert "open by 12 cm" in why_no_head(figure, TOP_NS)
    assert np.isnan(shaft_lean(figure.at(TOP_NS), figure.at(SET_NS)))
