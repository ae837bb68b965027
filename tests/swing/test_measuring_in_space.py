"""In space lengths are centimetres and errors the points' own; else it is said how it was made."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from capturestation.records import Moment, Result, hand_mark
from capturestation.swing.figure import BALL, GRIP, HEAD, POINTS, Figure, Spread
from capturestation.swing.measures import MEASURES, full_name
from capturestation.swing.measuring import BY_PICTURES, IN_SPACE, WIDER_ON_PEOPLE
from capturestation.swing.measuring_in_space import factors, measure_both, offsets
from capturestation.swing.space import HEAD_OPEN_M
from capturestation.swing.tracks import JOINTS

SET_NS, TOP_NS, DOWN_NS = -1_300_000_000, -300_000_000, -120_000_000
MARKS = (
    hand_mark(Moment.SET, SET_NS),
    hand_mark(Moment.TOP, TOP_NS),
    hand_mark(Moment.LEAD_ARM_LEVEL_DOWN, DOWN_NS),
)
SLID, PLANE = "pelvis to the target, top", "shaft off the plane, lead arm level, down"


def golfer(*, own_m: float = 0.01, head_open_m: float = 0.0) -> Figure:
    """Somebody who stands up straight and slides ten centimetres to the target until the top."""
    times_ns = np.array([SET_NS, TOP_NS, DOWN_NS])
    at = np.zeros((len(POINTS), 3))
    for joint in JOINTS:
        side = 0.15 if joint.startswith("lead") else -0.15 if joint.startswith("trail") else 0.0
        height = {"hip": 0.9, "shoulder": 1.4, "ankle": 0.1, "heel": 0.0, "toe": 0.0}
        at[joint.place] = (side, 0.5, height.get(joint.split(" ")[-1], 1.6))
    at[POINTS.index(GRIP)], at[POINTS.index(HEAD)] = (0.0, 0.2, 0.8), (0.0, 0.0, 0.0)
    at[POINTS.index(BALL)] = (0.0, 0.0, 0.0)
    points = np.stack([at, at + np.array([0.1, 0.0, 0.0]), at])
    spread = Spread(
        own=np.broadcast_to(own_m * np.eye(3), (3, len(POINTS), 3, 3)),
        by_bay=np.zeros((3, len(POINTS), 3, 1)),
        by_phase=np.zeros((3, len(POINTS), 3)),
        head_open_m=np.array([0.0, 0.0, head_open_m]),
    )
    return Figure(times_ns=times_ns, points=points, metres=1.0, spread=spread)


def by_pictures() -> Figure:
    """The same in shares of his height."""
    figure = golfer()
    return Figure(times_ns=figure.times_ns, points=figure.points / 1.5)


def taken(space: Figure | None, *, wider: float = 1.0) -> dict[str, Result]:
    """All results by name."""
    return {r.name: r for r in measure_both(by_pictures(), space, MARKS, wider=wider)}


def test_a_length_is_in_centimetres_and_says_how_it_was_made() -> None:
    flat, space = taken(None)[SLID], taken(golfer())[SLID]

    assert flat.measured is not None
    assert space.measured is not None
    assert (flat.measured.unit, space.measured.unit) == ("% of height", "cm")
    assert flat.method.endswith(BY_PICTURES)
    assert space.method.endswith(IN_SPACE)
    assert space.measured.value == pytest.approx(10.0 - 100.0 * factors()[SLID].offset)


def test_its_error_grows_with_that_of_its_points_and_with_people() -> None:
    plain, rough, person = (
        taken(golfer(own_m=own), wider=wider)[SLID].measured
        for own, wider in ((0.01, 1.0), (0.02, 1.0), (0.01, WIDER_ON_PEOPLE))
    )

    assert plain is not None
    assert rough is not None
    assert person is not None
    assert plain.u_random == pytest.approx(100.0 * 0.01 * factors()[SLID].random, rel=0.01)
    assert rough.u_random == pytest.approx(2.0 * plain.u_random, rel=0.01)
    assert person.u_random == pytest.approx(WIDER_ON_PEOPLE * plain.u_random, rel=0.01)
    assert person.u_systematic > WIDER_ON_PEOPLE * plain.u_systematic - 1e-9


def test_what_space_cannot_tell_is_taken_by_pictures() -> None:
    figure = golfer()
    points = figure.points.copy()
    points[:, [joint.place for joint in JOINTS if joint.endswith("hip")]] = np.nan

    found = taken(replace(figure, points=points))

    assert found[SLID].method.endswith(BY_PICTURES)
    assert found["head to the target, top"].method.endswith(IN_SPACE)


def test_a_club_head_that_is_too_quick_is_not_told_by_pictures_either() -> None:
    quick, slow = (taken(golfer(head_open_m=m))[PLANE] for m in (2.0 * HEAD_OPEN_M, 0.0))

    assert quick.measured is None
    assert "too quick for a place in space" in quick.why_missing
    assert slow.measured is not None
    assert slow.method.endswith(IN_SPACE)


def test_what_has_a_meaning_in_metres_alone_is_not_told_by_pictures() -> None:
    flat, space = (taken(figure)["stance width, set"] for figure in (None, golfer()))

    assert flat.why_missing.startswith("It needs both cameras' places measured")
    assert space.measured is not None
    assert space.measured.unit == "cm"


def test_the_table_in_space_covers_every_measure() -> None:
    names = {full_name(measure, moment) for measure in MEASURES for moment in measure.moments}

    assert names == set(factors())
    assert all(one.random > 0.0 for one in factors().values())
    assert set(offsets()) == names
