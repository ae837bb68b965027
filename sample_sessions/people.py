"""Draws plausible golfers: body, club and tempo by age, each by its seed.

Owns the ranges. The same seed gives the same golfer on every machine, because numbers are rounded.
The values are plausible; medians of the angles that they give are held against a published table by
the benchmark `render`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import Hand, SwingKind
from sample_sessions.ages import HEIGHTS_M, Age
from sample_sessions.clubs import CLUBS, WEDGE
from sample_sessions.parameters import SwingParameters


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pace:
    """Middle and half width of what an age brings: seconds and degrees."""

    backswing_s: tuple[float, float]
    downswing_s: tuple[float, float]
    pelvis_top_deg: tuple[float, float]
    chest_top_deg: tuple[float, float]
    club_top_deg: tuple[float, float]


# Backswing 0.8 to 0.9 s and turns of 53 and 87 degrees: McTeigue et al., Science and Golf II, 1994.
_PACES = {
    Age.CHILD: _Pace(backswing_s=(0.80, 0.10), downswing_s=(0.29, 0.02), pelvis_top_deg=(54.0, 6.0),
                     chest_top_deg=(90.0, 6.0), club_top_deg=(268.0, 10.0)),
    Age.ADULT: _Pace(backswing_s=(0.85, 0.12), downswing_s=(0.27, 0.025),
                     pelvis_top_deg=(50.0, 6.0), chest_top_deg=(86.0, 7.0),
                     club_top_deg=(258.0, 12.0)),
    Age.SENIOR: _Pace(backswing_s=(0.95, 0.12), downswing_s=(0.32, 0.025),
                      pelvis_top_deg=(42.0, 5.0), chest_top_deg=(74.0, 6.0),
                      club_top_deg=(238.0, 12.0)),
}  # fmt: skip


def somebody(seed: int, *, age: Age | None = None, hand: Hand | None = None) -> SwingParameters:
    """A golfer and his full swing, without departures.

    Args:
        seed: Decides all that isn't given.
        age: Drawn if not given, mostly an adult.
        hand: Drawn if not given, mostly right.

    Example:
        >>> somebody(7) == somebody(7)
        True
    """
    random = np.random.default_rng((20261125, seed))

    def between(low: float, high: float) -> float:
        return round(float(random.uniform(low, high)), 3)

    def about(middle: tuple[float, float]) -> float:
        return between(middle[0] - middle[1], middle[0] + middle[1])

    drawn_age = list(Age)[int(random.choice(3, p=(0.15, 0.65, 0.20)))]
    drawn_hand = Hand.LEFT if random.uniform() < 0.2 else Hand.RIGHT
    years = age or drawn_age
    pace = _PACES[years]
    return SwingParameters(
        age=years,
        hand=hand or drawn_hand,
        height_m=between(*HEIGHTS_M[years]),
        girth=between(0.9, 1.2),
        club_name=list(CLUBS)[int(random.integers(len(CLUBS)))],
        backswing_s=about(pace.backswing_s),
        downswing_s=about(pace.downswing_s),
        pelvis_top_deg=about(pace.pelvis_top_deg),
        chest_top_deg=about(pace.chest_top_deg),
        club_top_deg=about(pace.club_top_deg),
        stance_share=between(1.2, 1.6),
        knee_deg=between(156.0, 168.0),
        lean_deg=between(18.0, 27.0),
        rise_deg=between(2.0, 7.0),
        lead_arm_deg=between(155.0, 168.0),
        side_bend_deg=between(3.0, 7.0),
        pelvis_impact_deg=between(-44.0, -30.0),
        chest_impact_deg=between(-26.0, -12.0),
        seed=seed,
    )


def pitching(swing: SwingParameters) -> SwingParameters:
    """The same golfer with a wedge and half the swing."""
    return _as(swing, SwingKind.PITCH, 0.55, 0.6)


def part_swing(swing: SwingParameters) -> SwingParameters:
    """The same golfer with the same club, lead arm hardly past level."""
    return _as(swing, SwingKind.PART, 0.8, 0.8)


def _as(
    swing: SwingParameters, kind: SwingKind, pelvis_share: float, chest_share: float
) -> SwingParameters:
    return replace(
        swing,
        kind=kind,
        club_name=WEDGE.name if kind is SwingKind.PITCH else swing.club_name,
        pelvis_top_deg=round(pelvis_share * swing.pelvis_top_deg, 3),
        chest_top_deg=round(chest_share * swing.chest_top_deg, 3),
        downswing_s=round(min(swing.downswing_s * 1.1, 0.42), 3),
    )
