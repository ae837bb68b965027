"""How every turn, lean and angle of the invented swing runs in time.

Owns the shape of a swing as curves over the swing's clock (seconds, 0 is impact). Refuses to place
anything in space; `golfer` does that. The values are plausible, not measured: turns and order of
events follow the published tables that the tests quote.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import FloatArray
from sample_sessions.curves import Key, curve
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
    clock = _Clock(swing, ends.lead_s)
    keys = (
        _turn_keys(swing, clock)
        | _trunk_keys(swing, ends, clock)
        | _club_keys(swing, ends, clock)
        | _plane_keys(swing, ends, clock)
        | _foot_keys(swing, clock)
        | _through_keys(swing, clock)
    )
    return Courses(**{name: curve(time_s, row) for name, row in keys.items()})


def _turn_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    full = swing.is_full
    pelvis_top, chest_top = swing.pelvis_top_deg, swing.chest_top_deg
    square = swing.pelvis_down_deg + swing.departures.pelvis_late_deg
    impact, chest_impact = swing.pelvis_impact_deg, swing.chest_impact_deg
    # Degrees a second that the pelvis needs from there to impact; it is fastest early on.
    opening = (square - impact) / -clock.down(LEVEL_SHARE)
    pelvis_end, chest_end = (-92.0, -106.0) if full else (-62.0, -58.0)
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
            (0.0, chest_impact, -640.0 if full else -260.0),
            (clock.through(0.16), 0.58 * chest_impact + 0.42 * chest_end),
            (clock.through(0.45), 0.90 * chest_end),
            (clock.through(0.95), chest_end),
        ],
    }


def _trunk_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    full = swing.is_full
    lean = swing.set_lean_deg
    end_lean, end_bend, end_rise = (5.0, 4.0, 0.055) if full else (0.7 * lean, 6.0, 0.030)
    top_x = -0.005 - swing.departures.slide_m
    return {
        "lean_deg": [
            (clock.start_s, lean), (clock.top_s, lean + 1.0), (0.0, lean - 4.0),
            (clock.through(0.2), 0.78 * lean), (clock.through(0.9), end_lean),
        ],
        "side_bend_deg": [
            (clock.start_s, 6.0), (clock.back(0.6), 4.5), (clock.top_s, 1.0),
            (clock.down(LEVEL_SHARE), 5.0), (0.0, 10.5), (clock.through(0.15), 15.0),
            (clock.through(0.45), 12.0), (clock.through(0.9), end_bend),
        ],
        "pelvis_x_m": [
            (clock.start_s, 0.0), (clock.back(0.6), 0.8 * top_x), (clock.top_s, top_x, 0.15),
            (clock.down(LEVEL_SHARE), 0.050), (0.0, 0.085), (clock.through(0.2), 0.115),
            (clock.through(0.8), 0.165 if full else 0.120),
        ],
        "pelvis_y_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.005), (0.0, -0.055), (clock.through(0.3), -0.06),
            (clock.through(0.85), -0.035),
        ],
        "pelvis_z_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.0), (clock.down(LEVEL_SHARE), -0.020),
            (0.0, 0.020 - ends.sink_impact_m), (clock.through(0.3), 0.035), (clock.through(0.85), end_rise),
        ],
    }  # fmt: skip


def _club_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    full = swing.is_full
    shaft_top, arm_top = (swing.club_top_deg, 138.0) if full else (158.0, 66.0)
    impact_lean = swing.club.impact_lean_deg
    pace = swing.club.speed_share * 0.27 / swing.downswing_s
    shaft_rate, arm_rate = (-2030.0 * pace, -590.0 * pace) if full else (-950.0, -330.0)
    level = clock.down(LEVEL_SHARE)
    set_lean = 0.0 if impact_lean > 0.0 else -4.0
    arm_set = ends.arm_set_deg
    arm_back = arm_set + (86.0 - arm_set) * (0.66 if full else 0.36)
    back_keys: list[Key] = [(clock.back(0.48), 92.0), (clock.back(0.70), 181.0)]
    return {
        "lead_blade_m": [
            (clock.start_s, 0.0), (clock.top_s, 0.020), (level, 0.020), (0.0, ends.blade_impact_m),
            (clock.through(0.2), 0.02),
        ],
        "arm_deg": [
            (clock.start_s, arm_set), (clock.back(0.46), 0.62 * arm_back + 0.1 * arm_top),
            (clock.back(0.70), 0.71 * arm_top), (clock.top_s, arm_top),
            (level, 0.685 * arm_top), (clock.down(0.83), 0.30 * arm_top),
            (0.0, ends.arm_impact_deg, arm_rate), (0.05, -27.0 if full else -16.0),
            (clock.through(0.26), -95.0 if full else -45.0),
        ],
        "shaft_deg": [
            (clock.start_s, set_lean), *(back_keys if full else [(clock.back(0.6), 96.0)]),
            (clock.top_s, shaft_top),
            (level, 0.705 * shaft_top), (0.0, impact_lean, shaft_rate),
            (0.05, -84.0 if full else -38.0), (clock.through(0.18), -178.0 if full else -70.0),
            (clock.through(0.50), -262.0 if full else -92.0),
            (clock.through(1.0), -296.0 if full else -100.0),
        ],
    }  # fmt: skip


def _plane_keys(swing: SwingParameters, ends: Ends, clock: _Clock) -> dict[str, list[Key]]:
    full, plane_set = swing.is_full, swing.club.plane_deg
    level = clock.down(LEVEL_SHARE)
    return {
        "plane_deg": [
            (clock.start_s, plane_set), (clock.back(0.5), plane_set + 2.0),
            (clock.top_s, plane_set + 5.0), (level, plane_set + 4.0),
            (0.0, ends.plane_impact_deg), (clock.through(0.3), plane_set + 2.0),
            (clock.through(1.0), plane_set + 10.0),
        ],
        "plane_yaw_deg": [
            (0.0, 0.0), (clock.through(0.25), 18.0), (clock.through(0.9), 62.0 if full else 25.0),
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
    full = swing.is_full
    return {
        "heel_roll_deg": [
            (clock.down(0.6), 0.0), (0.0, 9.0 if full else 4.0), (clock.through(0.2), 24.0),
            (clock.through(0.8), 68.0 if full else 34.0),
        ],
        "foot_yaw_deg": [(0.0, 0.0), (clock.through(0.8), 46.0 if full else 15.0)],
        "gaze_share": [(0.10, 0.0), (clock.through(0.75), 1.0)],
    }  # fmt: skip


def _through_keys(swing: SwingParameters, clock: _Clock) -> dict[str, list[Key]]:
    """The lead arm by elbow angle, and the hands seen from the chest after impact."""
    lead_arm: list[Key] = [
        (clock.start_s, 163.0), (clock.back(0.45), 168.0), (clock.top_s, 161.0), (0.0, 167.0),
    ]  # fmt: skip
    trail_arm: list[Key] = [
        (clock.start_s, 154.0), (clock.back(0.40), 140.0), (clock.top_s, 145.0), (0.0, 154.0),
        (clock.through(0.16), 174.0),
    ]  # fmt: skip
    if not swing.is_full:
        return {
            "lead_arm_deg": lead_arm,
            "trail_arm_deg": trail_arm,
            "trail_arm_deg": trail_arm,
            "hands_side_m": [(0.10, 0.02), (clock.through(0.9), 0.06)],
            "hands_ahead_m": [(0.10, 0.50), (clock.through(0.9), 0.46)],
            "hands_up_m": [(0.10, -0.32), (clock.through(0.5), -0.20), (clock.through(0.9), -0.16)],
        }
    return {
        "lead_arm_deg": lead_arm,
        "trail_arm_deg": trail_arm,
        "hands_side_m": [
            (clock.through(0.14), 0.04), (clock.through(0.35), 0.10), (clock.through(0.6), 0.21),
            (clock.through(0.95), 0.23),
        ],
        "hands_ahead_m": [
            (clock.through(0.14), 0.57), (clock.through(0.35), 0.44), (clock.through(0.6), 0.25),
            (clock.through(0.95), 0.17),
        ],
        "hands_up_m": [
            (clock.through(0.14), -0.12), (clock.through(0.35), 0.10), (clock.through(0.6), 0.19),
            (clock.through(0.95), 0.15),
        ],
    }  # fmt: skip
