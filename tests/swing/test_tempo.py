"""Tempo: published arithmetic, honest errors, reasons for what is missing."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from capturestation.records import Mark, Measured, Moment, Result, hand_mark, no_such_moment
from capturestation.swing.tempo import tempo

FRAME_30_NS = 1e9 / 30


def marks(
    back_frames: float, down_frames: float, *, frame_ns: float, u_frames: float = 0
) -> list[Mark]:
    u_ns = round(u_frames * frame_ns)
    return [
        hand_mark(Moment.CLUB_STARTS, -round((back_frames + down_frames) * frame_ns), u_ns=u_ns),
        hand_mark(Moment.TOP, -round(down_frames * frame_ns), u_ns=u_ns),
        hand_mark(Moment.IMPACT, 0, u_ns=0),
    ]


def values(results: tuple[Result, ...]) -> list[Measured]:
    assert all(result.measured is not None for result in results)
    return [result.measured for result in results if result.measured is not None]


@pytest.mark.parametrize(("back", "down"), [(24, 8), (21, 7), (27, 9)])
def test_frames_at_thirty_hertz_are_three_to_one(back: int, down: int) -> None:
    """Exact arithmetic: 24 frames back and 8 down at 30 a second are 0.800 s, 0.267 s and 3.0."""
    back_s, down_s, ratio = values(tempo(marks(back, down, frame_ns=FRAME_30_NS)))

    assert back_s.value == pytest.approx(back / 30, abs=1e-6)
    assert down_s.value == pytest.approx(down / 30, abs=1e-6)
    assert ratio.value == pytest.approx(3.0, abs=1e-5)
    assert (back_s.unit, down_s.unit, ratio.unit) == ("s", "s", "ratio")


@pytest.mark.parametrize(
    ("rate_hz", "low", "high"),
    [(30, 2.53, 3.62), (60, 2.75, 3.29), (120, 2.87, 3.14), (240, 2.93, 3.07)],
)
def test_one_frame_at_the_top_moves_the_ratio_as_computed(
    rate_hz: int, low: float, high: float
) -> None:
    """Computed: the effect of one frame either way at the top on 0.75 s back and 0.25 s down."""
    frame_ns = 1e9 / rate_hz

    def ratio(moved: int) -> float:
        shifted = marks(0.75 * rate_hz + moved, 0.25 * rate_hz - moved, frame_ns=frame_ns)
        return values(tempo(shifted))[2].value

    assert ratio(-1) == pytest.approx(low, abs=0.01)
    assert ratio(1) == pytest.approx(high, abs=0.01)


def test_a_marks_interval_is_a_rectangle() -> None:
    back_s, down_s, _ = values(tempo(marks(90, 30, frame_ns=1e9 / 120, u_frames=1)))

    one = 1 / 120 / sqrt(3)
    assert back_s.u_random == pytest.approx(one * sqrt(2), rel=1e-6)
    assert down_s.u_random == pytest.approx(one, rel=1e-6)
    assert "top" in down_s.cause


def test_the_ratios_error_is_the_spread_of_moments_drawn_from_their_intervals() -> None:
    rng = np.random.default_rng(1)
    start, top, impact = (rng.uniform(-0.008, 0.008, 20_000) + at for at in (-1.0, -0.25, 0.0))
    drawn = (top - start) / (impact - top)
    shaken = [hand_mark(Moment.IMPACT, 0, u_ns=8_000_000)]
    shaken += [hand_mark(Moment.CLUB_STARTS, -1_000_000_000, u_ns=8_000_000)]
    shaken += [hand_mark(Moment.TOP, -250_000_000, u_ns=8_000_000)]

    ratio = values(tempo(shaken))[2]

    assert ratio.u_random == pytest.approx(float(drawn.std()), rel=0.03)


def test_a_missing_mark_is_named_and_the_rest_is_still_given() -> None:
    back, down, ratio = tempo(marks(24, 8, frame_ns=FRAME_30_NS)[1:])

    assert "'club starts' is not marked" in back.why_missing
    assert down.measured is not None
    assert "'club starts'" in ratio.why_missing


def test_a_moment_that_does_not_occur_is_not_called_unmarked() -> None:
    given = [*marks(24, 8, frame_ns=FRAME_30_NS)[:1], no_such_moment(Moment.TOP)]

    assert "'top' does not occur" in tempo(given)[0].why_missing


def test_marks_out_of_order_give_no_number() -> None:
    given = [
        hand_mark(Moment.TOP, -5),
        hand_mark(Moment.CLUB_STARTS, -3),
        hand_mark(Moment.IMPACT, 0),
    ]

    assert "out of order" in tempo(given)[0].why_missing
