"""Values carry their errors: of the joints, of the moment, wider on people; or say why not."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.records import Moment, hand_mark, no_such_moment
from capturestation.swing.figure import POINTS, Figure
from capturestation.swing.held import HELD
from capturestation.swing.measures import LENGTH, MEASURES, full_name
from capturestation.swing.measuring import (
    CORRECTED,
    WIDER_ON_PEOPLE,
    Errors,
    curve,
    measure_all,
    table,
)
from capturestation.swing.tracks import Joint

SET_NS, TOP_NS = -1_300_000_000, -300_000_000
TOP_TURN = "pelvis turn, top"
STATED = {
    full_name(measure, moment): Errors(u_random=2.0, u_systematic=3.0)
    for measure in MEASURES
    for moment in measure.moments
}
BOTH = (hand_mark(Moment.SET, SET_NS), hand_mark(Moment.TOP, TOP_NS))


def turning(*, metres: float | None = None, deg_a_s: float = 50.0) -> Figure:
    """A pelvis that turns evenly and stands at 45 degrees at the top; nothing else is known."""
    times_ns = np.arange(SET_NS, 0, 10_000_000, dtype=np.int64)
    turn = np.radians(45.0 + deg_a_s * (times_ns - TOP_NS) / 1e9)
    points = np.full((len(times_ns), len(POINTS), 3), np.nan)
    side = 0.1 * np.stack([np.cos(turn), -np.sin(turn), np.zeros(len(turn))], axis=1)
    points[:, Joint.LEAD_HIP.place] = side + np.array([0.0, 0.0, 0.6])
    points[:, Joint.TRAIL_HIP.place] = -side + np.array([0.0, 0.0, 0.6])
    return Figure(times_ns=times_ns, points=points, metres=metres)


def test_a_value_carries_both_parts_of_its_error() -> None:
    results = {r.name: r for r in measure_all(turning(), BOTH, errors=STATED, wider=1.0)}

    measured = results[TOP_TURN].measured
    assert measured is not None
    assert measured.value == pytest.approx(45.0, abs=0.01)
    assert (measured.u_random, measured.u_systematic) == (2.0, 3.0)
    assert "joints" in measured.cause


def test_stated_errors_are_wider_on_people() -> None:
    results = {r.name: r for r in measure_all(turning(), BOTH, errors=STATED)}

    measured = results[TOP_TURN].measured
    assert measured is not None
    assert measured.u_systematic == pytest.approx(3.0 * WIDER_ON_PEOPLE)
    assert WIDER_ON_PEOPLE > 1.0


def test_a_correction_is_taken_off_and_on_people_counts_as_an_error() -> None:
    corrected = {TOP_TURN: Errors(u_random=2.0, u_systematic=3.0, offset=10.0)}
    on_renders, on_people = (
        next(r.measured for r in measure_all(turning(), BOTH, errors=corrected, wider=wider)
             if r.name == TOP_TURN)
        for wider in (1.0, 1.5)
    )  # fmt: skip

    assert on_renders is not None
    assert on_people is not None
    assert on_renders.value == pytest.approx(35.0, abs=0.01)
    assert on_renders.u_systematic == 3.0
    assert on_people.u_systematic == pytest.approx(np.hypot(4.5, 10.0 / np.sqrt(3.0)))
    assert on_people.cause == CORRECTED


def test_an_unsure_moment_adds_what_the_value_changes_meanwhile() -> None:
    unsure = hand_mark(Moment.TOP, TOP_NS, u_ns=200_000_000)
    results = {
        r.name: r for r in measure_all(turning(), (BOTH[0], unsure), errors=STATED, wider=1.0)
    }

    measured = results[TOP_TURN].measured
    assert measured is not None
    # 0.4 s from end to end is four standard uncertainties, at 50 degrees a second.
    assert measured.u_random == pytest.approx(np.hypot(2.0, 5.0), rel=0.01)
    assert measured.cause == "when 'top' is"


def test_hips_seen_almost_in_one_place_tell_no_turn() -> None:
    close = turning()
    middle = 0.5 * (close.points[:, Joint.LEAD_HIP.place] + close.points[:, Joint.TRAIL_HIP.place])
    for joint, up in ((Joint.LEAD_ANKLE, 0.0), (Joint.TRAIL_ANKLE, 0.0), (Joint.NOSE, 1.0)):
        close.points[:, joint.place] = np.array([0.0, 0.0, up])
    wide = {r.name: r for r in measure_all(close, BOTH, errors=STATED)}
    for joint in (Joint.LEAD_HIP, Joint.TRAIL_HIP):
        close.points[:, joint.place] = middle + 0.2 * (close.points[:, joint.place] - middle)
    narrow = {r.name: r for r in measure_all(close, BOTH, errors=STATED)}

    assert wide[TOP_TURN].measured is not None
    assert "almost in one place" in narrow[TOP_TURN].why_missing


def test_what_is_missing_says_why() -> None:
    marks = (*BOTH, no_such_moment(Moment.LEAD_ARM_LEVEL_BACK))
    whys = {r.name: r.why_missing for r in measure_all(turning(), marks, errors=STATED)}

    assert whys["pelvis turn, impact"] == "'impact' is not marked."
    assert whys["pelvis turn, lead arm level, back"] == ("'lead arm level, back' does not occur.")
    assert whys["chest turn, top"] == "It needs the body in both views there."
    assert whys[TOP_TURN] == ""


def test_without_a_figure_every_measure_says_the_same() -> None:
    results = measure_all(None, BOTH, why_none="No body model.")

    assert {r.why_missing for r in results} == {"No body model."}


def test_a_measure_of_unknown_error_is_withheld() -> None:
    results = {r.name: r for r in measure_all(turning(), BOTH, errors={})}

    assert "not known yet" in results[TOP_TURN].why_missing


def test_lengths_are_in_centimetres_only_where_metres_are_known() -> None:
    lengths = [m for m in MEASURES if m.unit == LENGTH and Moment.TOP in m.moments]
    name = full_name(lengths[0], Moment.TOP)
    both = [
        {r.name: r for r in measure_all(turning(metres=metres), BOTH, errors=STATED, wider=1.0)}
        for metres in (None, 1.5)
    ]

    plain, metric = (one[name].measured for one in both)
    assert plain is not None
    assert metric is not None
    assert (plain.unit, metric.unit) == ("% of height", "cm")
    assert metric.u_random == pytest.approx(1.5 * plain.u_random)


def test_a_turn_that_no_golfer_can_have_there_is_not_told() -> None:
    """Front taken for back: half a circle off."""
    figure = turning()
    points = figure.points.copy()
    points[:, [Joint.LEAD_HIP.place, Joint.TRAIL_HIP.place]] = points[
        :, [Joint.TRAIL_HIP.place, Joint.LEAD_HIP.place]
    ]
    exchanged = Figure(times_ns=figure.times_ns, points=points)

    results = {r.name: r for r in measure_all(exchanged, BOTH, errors=STATED)}

    assert results[TOP_TURN].measured is None
    assert results[TOP_TURN].why_missing == "Which side is which could not be told there."


def test_an_angle_known_too_badly_is_not_told_but_how_badly() -> None:
    rough = {**STATED, TOP_TURN: Errors(u_random=12.0, u_systematic=16.0)}

    results = {r.name: r for r in measure_all(turning(), BOTH, errors=rough, wider=1.0)}

    assert results[TOP_TURN].measured is None
    assert results[TOP_TURN].why_missing == "Pictures tell it only to ± 40 degrees there."


def test_a_moment_known_too_badly_tells_no_angle_that_changes_quickly_there() -> None:
    quick = turning(deg_a_s=600.0)
    marks = (BOTH[0], hand_mark(Moment.TOP, TOP_NS, u_ns=60_000_000))

    results = {r.name: r for r in measure_all(quick, marks, errors=STATED)}

    told = results[TOP_TURN]
    assert told.measured is None
    assert told.why_missing.startswith("'top' is known to ± 60 ms only")
    assert measure_all(quick, BOTH, errors=STATED) != tuple(results.values())


def test_a_curve_is_the_measure_at_every_instant() -> None:
    figure = turning()
    turns = curve(figure, MEASURES[0], BOTH, errors=STATED)

    assert turns[0] == pytest.approx(-5.0, abs=0.01)
    assert np.all(np.diff(turns) > 0.0)


def test_a_curve_goes_through_the_values_that_are_stated() -> None:
    figure, off = turning(), {**STATED}
    off[TOP_TURN] = Errors(u_random=2.0, u_systematic=3.0, offset=8.0)
    turns = curve(figure, MEASURES[0], BOTH, errors=off)
    results = {r.name: r for r in measure_all(figure, BOTH, errors=off)}

    for moment, at_ns in ((Moment.SET, SET_NS), (Moment.TOP, TOP_NS)):
        measured = results[full_name(MEASURES[0], moment)].measured
        assert measured is not None
        there = np.interp(at_ns, figure.times_ns, turns)
        assert there == pytest.approx(measured.value, abs=0.1)


def test_without_set_there_is_no_curve() -> None:
    assert np.isnan(curve(turning(), MEASURES[0], BOTH[1:])).all()


def test_the_table_that_comes_along_covers_every_measure() -> None:
    known = table()

    in_metres = {full_name(m, at) for m in MEASURES if m.only_in_space for at in m.moments}
    assert set(known) == (set(STATED) - in_metres) | {HELD}
    assert all(e.u_random > 0.0 and e.u_systematic > 0.0 for e in known.values())
