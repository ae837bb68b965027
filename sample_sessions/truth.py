"""What is true of an invented swing and of each of its clips, worked out from geometry alone.

Owns the moments by threshold, speeds, turns, and where clip, sound and ball stand. Written as JSON
beside each clip. Rounded, so that every machine writes the same text. Refuses to look at pictures.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from capturestation.errors import BadInputError
from capturestation.records import FloatArray, Moment, View, from_plain, to_plain
from sample_sessions.cameras import Camera, Lens
from sample_sessions.clubs import BALL_RADIUS_M
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.meeting import ALWAYS_S
from sample_sessions.moments import GRID_S, find_moments, rule_of, speed_m_s
from sample_sessions.parameters import SwingParameters

SCHEMA = 2
AIR_C = 20.0


def speed_of_sound_m_s(air_c: float = AIR_C) -> float:
    """In dry air, 343.2 m/s at 20 °C, growing with the root of the absolute temperature.

    Source:
        ISO 9613-1:1993, the form 343.2 · √(T / 293.15 K).
    """
    return 343.2 * float(np.sqrt((air_c + 273.15) / 293.15))


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueMoment:
    """One moment: when, or why it doesn't occur; and the turns at it.

    Args:
        moment: Which.
        rule: The threshold that decides it.
        at_ns: Swing clock; None when it does not occur.
        why_not: The reason then, else empty.
        pelvis_turn_deg: About the vertical, closed positive; None when it does not occur.
        chest_turn_deg: The line of the shoulders, about the vertical.
        chest_about_spine_deg: The same about the leaning spine.
        off_plane_deg: Shaft to the plane through the ball's line and the hands; outside positive.
    """

    moment: Moment
    rule: str
    at_ns: int | None
    why_not: str = ""
    pelvis_turn_deg: float | None = None
    chest_turn_deg: float | None = None
    chest_about_spine_deg: float | None = None
    off_plane_deg: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingTruth:
    """What holds for the swing, whichever camera sees it."""

    parameters: SwingParameters
    moments: tuple[TrueMoment, ...]
    backswing_s: float
    downswing_s: float
    tempo_ratio: float
    face_speed_at_impact_m_s: float
    hands_peak_m_s: float
    ball_speed_m_s: float

    def at_ns(self, moment: Moment) -> int | None:
        """When that moment is, or None when it does not occur."""
        return next(m.at_ns for m in self.moments if m.moment is moment)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClipTruth:
    """What holds for one clip; times in ns, lengths in m, pixels with (0, 0) a pixel's centre.

    Args:
        schema: Version of this document.
        clip: File name of the clip.
        view: Where the camera stands.
        camera: Its name.
        lens: Its lens.
        camera_from_world: Four rows.
        rate_hz: Frames a second.
        exposure_s: Shutter.
        read_out_s: First to last row.
        frames: How many.
        swing_minus_media_ns: Added to a frame's media time gives the middle of its exposure on the
            swing's clock.
        contact_picture_media_ns: Contact on the picture's media clock; None for a rehearsal.
        contact_sound_media_ns: Its arrival on the sound's media clock, delays included.
        mic_distance_m: From ball to microphone.
        sound_late_ns: How much later the file has sound than picture, distance not counted.
        air_c: Temperature.
        ball_px: Middle x, y and radius of the resting ball.
        swing: What holds in every view.
    """

    schema: int
    clip: str
    view: View
    camera: str
    lens: Lens
    camera_from_world: tuple[tuple[float, ...], ...]
    rate_hz: Fraction
    exposure_s: float
    read_out_s: float
    frames: int
    swing_minus_media_ns: int
    contact_picture_media_ns: int | None
    contact_sound_media_ns: int | None
    mic_distance_m: float
    sound_late_ns: int
    air_c: float
    ball_px: tuple[float, ...]
    swing: SwingTruth


def clip_truth(
    golfer: Golfer, camera: Camera, clip: str, *, first_ns: int, frames: int
) -> ClipTruth:
    """State what a clip shows; `first_ns` is its first frame's time on the swing's clock."""
    distance_m = float(np.linalg.norm(golfer.ball_at - np.asarray(camera.at_m)))
    travel_ns = round(distance_m / speed_of_sound_m_s() * 1e9)
    late_ns = round(camera.sound_late_s * 1e9)
    struck = golfer.swing.strikes
    matrix = np.round(camera.camera_from_world, 9) + 0.0
    return ClipTruth(
        schema=SCHEMA,
        clip=clip,
        view=camera.view,
        camera=camera.name,
        lens=camera.lens,
        camera_from_world=tuple(tuple(float(v) for v in row) for row in matrix),
        rate_hz=camera.rate_hz,
        exposure_s=camera.exposure_s,
        read_out_s=camera.read_out_s,
        frames=frames,
        swing_minus_media_ns=first_ns,
        contact_picture_media_ns=-first_ns if struck else None,
        contact_sound_media_ns=-first_ns + travel_ns + late_ns if struck else None,
        mic_distance_m=round(distance_m, 4),
        sound_late_ns=late_ns,
        air_c=AIR_C,
        ball_px=_ball_px(golfer, camera),
        swing=swing_truth(golfer),
    )


def _ball_px(golfer: Golfer, camera: Camera) -> tuple[float, ...]:
    lies = golfer.pose(np.array([ALWAYS_S])).ball
    middle = camera.project(lies)[0]
    far_m = float(camera.seen(lies)[0, 2])
    radius = camera.lens.focal_px * BALL_RADIUS_M / far_m
    return tuple(round(float(v), 2) for v in (*middle, radius))


def swing_truth(golfer: Golfer) -> SwingTruth:
    """Find the moments, speeds and turns of a swing."""
    times = find_moments(golfer)
    start, top = times[Moment.CLUB_STARTS], times[Moment.TOP]
    assert start is not None
    assert top is not None
    return SwingTruth(
        parameters=golfer.swing,
        moments=tuple(_described(golfer, moment, at_s) for moment, at_s in times.items()),
        backswing_s=round(top - start, 6),
        downswing_s=round(-top, 6),
        tempo_ratio=round((top - start) / -top, 4),
        face_speed_at_impact_m_s=round(float(speed_m_s(golfer, np.zeros(1), "club_face")[0]), 3),
        hands_peak_m_s=round(
            float(speed_m_s(golfer, np.arange(top, 0.0, GRID_S), "lead_hand").max()), 3
        ),
        ball_speed_m_s=golfer.ball_speed_m_s,
    )


def _described(golfer: Golfer, moment: Moment, at_s: float | None) -> TrueMoment:
    if at_s is None:
        return TrueMoment(
            moment=moment,
            rule=rule_of(moment, golfer),
            at_ns=None,
            why_not="this swing never gets there",
        )
    pose = golfer.pose(np.array([at_s]))
    hand = float(np.sign(pose.pelvis[0, 1]))
    return TrueMoment(
        moment=moment,
        rule=rule_of(moment, golfer),
        # Whole microseconds: the last digits differ from machine to machine.
        at_ns=round(at_s * 1e6) * 1000,
        pelvis_turn_deg=_tidy(floor_turn_deg(pose.pelvis_side[0], hand)),
        chest_turn_deg=_tidy(floor_turn_deg(pose.chest_side[0], hand)),
        chest_about_spine_deg=_tidy(_spine_turn_deg(pose, hand)),
        off_plane_deg=_tidy(off_plane_deg(pose, golfer.ball_at)),
    )


def _tidy(angle_deg: float) -> float:
    return round(angle_deg, 3) + 0.0


def floor_turn_deg(side: FloatArray, hand: float) -> float:
    """Turn about the vertical of a trail-to-lead axis, closed positive; `hand` is ±1 by its y."""
    return float(np.degrees(np.arctan2(-hand * side[1], side[0])))


def _spine_turn_deg(pose: Pose, hand: float) -> float:
    up, side = pose.spine_up[0], pose.chest_side[0]
    level = np.array([1.0, 0.0, 0.0]) - up[0] * up
    level = level / np.linalg.norm(level)
    closed = -hand * np.cross(up, level)
    return float(np.degrees(np.arctan2(side @ closed, side @ level)))


def off_plane_deg(pose: Pose, ball_at: FloatArray) -> float:
    """Angle of the shaft to the plane through the ball-to-target line and the hands.

    About a degree even for a perfect swing: the shaft ends at the heel, not on the ball's line.
    """
    hand = pose.lead_hand[0] - ball_at
    normal = np.cross(np.array([1.0, 0.0, 0.0]), hand)
    normal = normal / np.linalg.norm(normal) * np.sign(hand[1])
    shaft = (pose.club_hosel - pose.club_butt)[0]
    return float(np.degrees(np.arcsin(shaft @ normal / np.linalg.norm(shaft))))


def truth_text(truth: ClipTruth) -> str:
    """The document as it stands beside a clip."""
    return json.dumps(to_plain(truth), indent=1, ensure_ascii=False) + "\n"


def load_truth(path: Path) -> ClipTruth:
    """Read a truth document.

    Raises:
        BadInputError: If it can't be read or has another shape.
    """
    try:
        return from_plain(ClipTruth, json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError) as error:
        raise BadInputError(
            f"{path.name} is no truth of a sample clip: {error}",
            try_next="Render the samples again with python -m sample_sessions.",
            subject=path.name,
        ) from error
