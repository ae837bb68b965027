"""How every turn, lean and angle of the invented swing runs in time.

Owns the shape of a swing as curves over the swing's clock (seconds, 0 is impact). Refuses to place
anything in space; `golfer` does that. The values are plausible, not measured: turns and order of
events follow the published tables that the tests quote.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from capturestation.records import FloatArray
from sample_sessions.clubs import FITTED_FOR_M
from sample_sessions.curves import Curve, Key
from sample_sessions.parameters import SwingParameters

LEVEL_SHARE = 0.57
# Share of the downswing after which the lead arm is about level.


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """What the golfer's own geometry decides: where set and impact must meet the ball.

    Args:
        lead_s: How long before the nominal start the motion sets in, so that the club has
            moved its first 10 mm at the nominal start.
        arm_set_deg: The lead arm in the swing plane at set.
        arm_impact_deg: The same at impact.
        plane_impact_deg: The plane through the hands at impact.
        blade_impact_m: How far the lead shoulder blade has glided to the ball then.
        sink_set_m: How much lower than usual the hips are at set, so that the arms reach.
        sink_impact_m: The same at impact, on top of the other.
    """

    lead_s: float
    arm_set_deg: float
    arm_impact_deg: float
    plane_impact_deg: float
    blade_impact_m: float
    sink_set_m: float = 0.0
    sink_impact_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Courses:
    """All curves, each of shape (n,), over the times asked for."""

    pelvis_turn_deg: FloatArray
    chest_turn_deg: FloatArray
    lean_deg: FloatArray
    side_bend_deg: FloatArray
    pelvis_x_m: FloatArray
    pelvis_y_m: FloatArray
    pelvis_z_m: FloatArray
    lead_arm_deg: FloatArray
    trail_arm_deg: FloatArray
    lead_blade_m: FloatArray
    trail_blade_share: FloatArray
    arm_deg: FloatArray
    shaft_deg: FloatArray
    plane_deg: FloatArray
    plane_yaw_deg: FloatArray
    off_plane_deg: FloatArray
    face_roll_deg: FloatArray
    heel_roll_deg: FloatArray
    foot_yaw_deg: FloatArray
    gaze_share: FloatArray
    hands_side_m: FloatArray
    hands_ahead_m: FloatArray
    hands_up_m: FloatArray


class _Clock:
    """Turns shares of backswing and downswing into seconds."""

    def __init__(self, swing: SwingParameters, lead_s: float) -> None:
        self.top_s = -swing.downswing_s
        self.start_s = self.top_s - swing.backswing_s - lead_s
        self.finish_s = swing.finish_s

    def back(self, share: float) -> float:
        return self.start_s + share * (self.top_s - self.start_s)

    def down(self, share: float) -> float:
        return self.top_s * (1.0 - share)

    def through(self, share: float) -> float:
        return share * self.finish_s


def courses(time_s: FloatArray, swing: SwingParameters, ends: Ends) -> Courses:
    """Read every curve at `time_s`, shape (n,), seconds of the swing's clock."""
    return Courses(**{name: run(time_s) for name, run in _curves(swing, ends).items()})


@lru_cache(maxsize=64)
def _curves(swing: SwingParameters, ends: Ends) -> dict[str, Curve]:
    clock = _Clock(swing, ends.lead_s)
    keys = (
        _turn_keys(swing, clock)
        | _trunk_keys(swing, clock)
        | _pelvis_keys(swing, ends, clock)
        | _arm_keys(swing, ends, clock)
        | _shaft_keys(swing, clock)
        | _plane_keys(swing, ends, clock)
        | _foot_keys(swing, clock)
        | _through_keys(swing, clock)
    )
    return {name: Curve(row) for name, row in keys.items()}


def _turn_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    by = swing.by_kind
    pelvis_top, chest_top = swing.pelvis_top_deg, swing.chest_top_deg
    square = swing.pelvis_down_deg + swing.departures.pelvis_late_deg
    impact, chest_impact = swing.pelvis_impact_deg, swing.chest_impact_deg
    # Degrees a second that the pelvis needs from there to impact; it is fastest early on.
    opening = (square - impact) / -clock.down(LEVEL_SHARE)
    pelvis_end, chest_end = by(-92.0, -80.0, -62.0), by(-106.0, -86.0, -58.0)
    return {
        "pelvis_turn_deg": [
            (clock.start_s + 0.02, 0.0),
            (clock.back(0.50), 0.46 * pelvis_top),
            # The pelvis turns round before the torso does.
            (clock.top_s - 0.035, pelvis_top),
            (clock.down(LEVEL_SHARE), square, -1.25 * opening),
            (0.0, impact, -0.70 * opening),
            (clock.through(0.22), 0.45 * impact + 0.55 * pelvis_end),
            (clock.through(0.85), pelvis_end),
        ],
        "chest_turn_deg": [
            (clock.start_s, 0.0),
            (clock.back(0.50), 0.56 * chest_top),
            (clock.top_s + 0.010, chest_top),
            (clock.down(0.30), 0.84 * chest_top),
            (clock.down(LEVEL_SHARE), 0.49 * chest_top),
            (0.0, chest_impact, by(-640.0, -520.0, -260.0)),
            (clock.through(0.16), 0.58 * chest_impact + 0.42 * chest_end),
            (clock.through(0.45), 0.90 * chest_end),
            (clock.through(0.95), chest_end),
        ],
    }


def _trunk_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    by = swing.by_kind
    lean, bend = swing.set_lean_deg, swing.side_bend_deg
    rise = swing.rise_deg + swing.departures.stand_up_deg
    end_lean, end_bend = by(5.0, 0.4 * lean, 0.7 * lean), by(4.0, 5.0, 6.0)
    # Who falls back bends away from the target, and sways.
    back = 80.0 * swing.departures.falls_back_m
    return {
        "lean_deg": [
            (clock.start_s, lean), (clock.top_s, lean + 1.0 - 0.3 * rise), (0.0, lean - rise),
            (clock.through(0.2), 0.78 * (lean - rise)), (clock.through(0.9), end_lean),
        ],
        "side_bend_deg": [
            (clock.start_s, bend), (clock.back(0.6), 0.75 * bend), (clock.top_s, 1.0),
            (clock.down(LEVEL_SHARE), 5.0), (0.0, 10.5), (clock.through(0.15), 15.0),
            (clock.through(0.45), 12.0 + back), (clock.through(0.9), end_bend + back),
            (clock.through(1.4), end_bend + 0.3 * back), (clock.through(2.2), end_bend + back),
        ],
    }  # fmt: skip


def _pelvis_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    by = swing.by_kind
    size = swing.height_m / FITTED_FOR_M
    top_x = -0.005 - swing.departures.slide_m
    back = swing.departures.falls_back_m
    end_x = by(0.165, 0.145, 0.120) * size
    # Who loses the lean goes to the ball with the hips, so that the head stays.
    to_ball = (0.035 + 0.0055 * swing.rise_deg + 0.0075 * swing.departures.stand_up_deg) * size
    return {
        "pelvis_x_m": [
            (clock.start_s, 0.0), (clock.back(0.6), 0.8 * top_x), (clock.top_s, top_x, 0.15),
            (clock.down(LEVEL_SHARE), 0.050 * size - 0.3 * back), (0.0, 0.085 * size - 0.5 * back),
            (clock.through(0.2), 0.115 * size - 0.8 * back), (clock.through(0.8), end_x - back),
            (clock.through(1.3), end_x - 1.5 * back), (clock.through(1.9), end_x - 0.7 * back),
            (clock.through(2.5), end_x - 1.1 * back),
        ],
        "pelvis_y_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.005), (0.0, -to_ball),
            (clock.through(0.3), -to_ball - 0.005), (clock.through(0.85), -0.035),
        ],
        "pelvis_z_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.0), (clock.down(LEVEL_SHARE), -0.020 * size),
            (0.0, 0.020 * size - ends.sink_impact_m), (clock.through(0.3), 0.035 * size),
            (clock.through(0.85), by(0.055, 0.045, 0.030) * size),
        ],
    }  # fmt: skip


def _arm_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    by, level = swing.by_kind, clock.down(LEVEL_SHARE)
    # Who turns less also lifts the arms less.
    less_deg = 0.7 * (88.0 - swing.chest_top_deg)
    arm_top, arm_set = by(138.0 - less_deg, 106.0, 66.0), ends.arm_set_deg
    pace = swing.club.speed_share * 0.27 / swing.downswing_s
    arm_back = arm_set + (86.0 - arm_set) * by(0.66, 0.52, 0.36)
    return {
        "lead_arm_deg": [
            (clock.start_s, swing.lead_arm_deg), (clock.back(0.45), swing.lead_arm_deg + 4.0),
            (clock.top_s, swing.lead_arm_deg - 2.0), (0.0, min(swing.lead_arm_deg + 4.0, 172.0)),
        ],
        "trail_arm_deg": [
            (clock.start_s, 154.0), (clock.back(0.40), 140.0), (clock.top_s, 145.0),
            (0.0, 154.0), (clock.through(0.16), 174.0),
        ],
        "lead_blade_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.020), (level, 0.020), (0.0, ends.blade_impact_m),
            (clock.through(0.2), 0.02),
        ],
        # Back in its place before impact: what follows is the lead side's doing.
        "trail_blade_share": [
            (clock.back(0.25), 0.0), (clock.back(0.60), by(0.45, 0.30, 0.10)),
            (clock.top_s, by(1.0, 0.6, 0.2)), (level, by(0.45, 0.25, 0.10)),
            (clock.down(0.88), 0.0),
        ],
        "arm_deg": [
            (clock.start_s, arm_set), (clock.back(0.46), 0.62 * arm_back + 0.1 * arm_top),
            (clock.back(0.70), 0.71 * arm_top), (clock.top_s, arm_top),
            (level, 0.685 * arm_top), (clock.down(0.83), 0.30 * arm_top),
            (0.0, ends.arm_impact_deg, by(-590.0 * pace, -500.0 * pace, -330.0)),
            (0.05, by(-27.0, -23.0, -16.0)), (clock.through(0.26), by(-95.0, -80.0, -45.0)),
        ],
    }  # fmt: skip


def _shaft_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    by, level = swing.by_kind, clock.down(LEVEL_SHARE)
    shaft_top = by(swing.club_top_deg, 205.0, 158.0)
    pace = swing.club.speed_share * 0.27 / swing.downswing_s
    full: list[Key] = [(clock.back(0.48), 92.0), (clock.back(0.70), 181.0)]
    back_keys = full if swing.is_full else [(clock.back(by(0.48, 0.54, 0.60)), 96.0)]
    return {
        "shaft_deg": [
            # A driver's hands are behind its head at set.
            (clock.start_s, 0.0 if swing.club.impact_lean_deg > 0.0 else -4.0), *back_keys,
            (clock.top_s, shaft_top), (level, 0.705 * shaft_top),
            (0.0, swing.club.impact_lean_deg, by(-2030.0 * pace, -1700.0 * pace, -950.0)),
            (0.05, by(-84.0, -68.0, -38.0)), (clock.through(0.18), by(-178.0, -132.0, -70.0)),
            (clock.through(0.50), by(-262.0, -178.0, -92.0)),
            (clock.through(1.0), by(-296.0, -192.0, -100.0)),
        ],
    }  # fmt: skip


def _plane_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    by, plane_set = swing.by_kind, swing.club.plane_deg
    level = clock.down(LEVEL_SHARE)
    return {
        "plane_deg": [
            (clock.start_s, plane_set), (clock.back(0.5), plane_set + 2.0),
            (clock.top_s, plane_set + 5.0), (level, plane_set + 5.0),
            (0.0, ends.plane_impact_deg), (clock.through(0.3), plane_set + 2.0),
            (clock.through(1.0), plane_set + 10.0),
        ],
        "plane_yaw_deg": [
            # Turned further, the shaft would go through the neck instead of behind it.
            (0.0, 0.0), (clock.through(0.25), 14.0), (clock.through(0.9), by(32.0, 38.0, 25.0)),
        ],
        "off_plane_deg": [
            (clock.top_s, 0.0), (level, swing.departures.off_plane_deg), (-0.004, 0.0),
        ],
        "face_roll_deg": [
            (clock.start_s, 0.0), (clock.back(0.5), 62.0), (clock.top_s, 80.0),
            (clock.down(0.80), 66.0), (0.0, 0.0), (0.06, -58.0), (clock.through(0.4), -85.0),
        ],
    }  # fmt: skip


def _foot_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    by = swing.by_kind
    # Who falls back never comes up on the trail foot's toes.
    up = max(1.0 - 7.0 * swing.departures.falls_back_m, 0.1)
    return {
        "heel_roll_deg": [
            (clock.down(0.6), 0.0), (0.0, by(9.0, 7.0, 4.0) * up), (clock.through(0.2), 24.0 * up),
            (clock.through(0.8), by(68.0, 50.0, 34.0) * up),
        ],
        "foot_yaw_deg": [(0.0, 0.0), (clock.through(0.8), by(46.0, 30.0, 15.0) * up)],
        "gaze_share": [(0.10, 0.0), (clock.through(0.75), 1.0)],
    }  # fmt: skip


def _through_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    """The hands seen from the chest after impact, for a golfer of 1.78 m."""
    at, by, size = clock.through, swing.by_kind, swing.height_m / FITTED_FOR_M
    if swing.is_pitch:
        side = [(0.10, 0.02), (at(0.9), 0.06)]
        ahead = [(0.10, 0.50), (at(0.9), 0.46)]
        up = [(0.10, -0.32), (at(0.5), -0.20), (at(0.9), -0.16)]
    else:
        side = [
            (at(0.14), 0.04),
            (at(0.35), by(0.13, 0.10, 0.0)),
            (at(0.6), by(0.25, 0.15, 0.0)),
            (at(0.95), by(0.27, 0.17, 0.0)),
        ]
        ahead = [
            (at(0.14), 0.57),
            (at(0.35), by(0.44, 0.48, 0.0)),
            (at(0.6), by(0.25, 0.42, 0.0)),
            (at(0.95), by(0.17, 0.40, 0.0)),
        ]
        up = [(at(0.14), -0.12), (at(0.35), by(0.10, 0.0, 0.0)), (at(0.6), by(0.19, 0.04, 0.0)),
              (at(0.95), by(0.15, 0.03, 0.0))]  # fmt: skip
    rows = {"hands_side_m": side, "hands_ahead_m": ahead, "hands_up_m": up}
    return {name: [(t, value * size) for t, value in row] for name, row in rows.items()}
