"""What makes one invented swing this one and no other: body, club, tempo, turns, departures.

Owns the parameters and their defaults. Refuses to compute positions; `golfer` does.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import ClubGroup, Hand, SwingKind, club_group

BALL_RADIUS_M = 0.02135
# The least that the rules allow: 42.67 mm across.


@dataclass(frozen=True, slots=True, kw_only=True)
class Club:
    """One club as the swing needs it.

    Args:
        name: Its everyday name.
        grip_to_face_m: From the lead hand's middle to the middle of the face.
        butt_m: What stands out above the lead hand's middle.
        plane_deg: The shaft's angle to level at set, seen down the line.
        tee_m: How high the ball's lowest point is.
        ball_back_m: How far the middle of the stance is behind the ball.
        ball_speed_m_s: Of a solid hit with a full swing.
        launch_deg: The angle at which the ball leaves.
        impact_lean_deg: How far the shaft leans to the target at impact.
        lean_more_deg: How much further than with a 7 iron one leans to reach the ball.
        speed_share: The club's turning speed at impact as a share of the 7 iron's.
    """

    name: str
    grip_to_face_m: float
    butt_m: float
    plane_deg: float
    tee_m: float
    ball_back_m: float
    ball_speed_m_s: float
    launch_deg: float
    impact_lean_deg: float
    speed_share: float
    lean_more_deg: float = 0.0

    @property
    def group(self) -> ClubGroup:
        """The group of clubs that it belongs to."""
        return club_group(self.name)


DRIVER = Club(
    name="driver", grip_to_face_m=1.04, butt_m=0.08, plane_deg=48.0, tee_m=0.025,
    ball_back_m=0.13, ball_speed_m_s=65.0, launch_deg=13.0, impact_lean_deg=-1.0,
    speed_share=1.02,
)  # fmt: skip
IRON_7 = Club(
    name="7 iron", grip_to_face_m=0.86, butt_m=0.08, plane_deg=56.0, tee_m=0.0,
    ball_back_m=0.03, ball_speed_m_s=49.0, launch_deg=19.0, impact_lean_deg=7.0,
    speed_share=1.0,
)  # fmt: skip
WEDGE = Club(
    name="sand wedge", grip_to_face_m=0.81, butt_m=0.08, plane_deg=60.0, tee_m=0.0,
    ball_back_m=0.01, ball_speed_m_s=36.0, launch_deg=28.0, impact_lean_deg=7.0,
    speed_share=0.98, lean_more_deg=3.5,
)  # fmt: skip
CLUBS = {club.name: club for club in (DRIVER, IRON_7, WEDGE)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Departures:
    """What is put in on purpose, so that a measure has something known to find.

    Args:
        pelvis_late_deg: How much more closed the pelvis still is with the lead arm level
            on the way down.
        slide_m: How far the pelvis slides away from the target by the top.
        off_plane_deg: How far the shaft is off its plane with the lead arm level on the way
            down; positive to the outside (over the plane).
    """

    pelvis_late_deg: float = 0.0
    slide_m: float = 0.0
    off_plane_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingParameters:
    """Everything that shapes one swing; the same values give the same swing on any machine.

    Args:
        height_m: The golfer's height.
        hand: Which way he stands.
        club_name: What he swings, one of `CLUBS`.
        kind: A full swing or a pitch.
        backswing_s: From the club's start to the top.
        downswing_s: From the top to impact.
        stance_share: Stance width (ankles) over shoulder width.
        pelvis_top_deg: Turn of the pelvis at its most, closed, about the vertical.
        chest_top_deg: Turn of the chest at the top, closed, about the spine.
        pelvis_down_deg: Turn of the pelvis with the lead arm level on the way down.
        pelvis_impact_deg: Turn of the pelvis at impact; negative is open.
        chest_impact_deg: Turn of the chest at impact.
        lean_deg: Forward lean of the spine at set with a 7 iron, from the vertical.
        club_top_deg: How far the club has swung round at the top, 270 is level.
        finish_s: From impact until the finish stands.
        departures: What is put in on purpose.
        seed: Drives noise in picture and sound only, never the motion.
    """

    height_m: float = 1.78
    hand: Hand = Hand.RIGHT
    club_name: str = IRON_7.name
    kind: SwingKind = SwingKind.FULL
    backswing_s: float = 0.80
    downswing_s: float = 0.27
    stance_share: float = 1.39
    pelvis_top_deg: float = 50.0
    chest_top_deg: float = 88.0
    pelvis_down_deg: float = 3.0
    pelvis_impact_deg: float = -38.0
    chest_impact_deg: float = -28.0
    lean_deg: float = 30.0
    club_top_deg: float = 262.0
    finish_s: float = 0.72
    departures: Departures = Departures()
    seed: int = 1

    @property
    def club(self) -> Club:
        """The club of that name."""
        return CLUBS[self.club_name]

    @property
    def set_lean_deg(self) -> float:
        """Forward lean at set with this club."""
        return self.lean_deg + self.club.lean_more_deg

    @property
    def is_full(self) -> bool:
        """True unless it is a pitch."""
        return self.kind is SwingKind.FULL

    def __post_init__(self) -> None:
        if self.club_name not in CLUBS:
            msg = f"clubs here are {', '.join(CLUBS)}, got {self.club_name}"
            raise ValueError(msg)
        if self.kind not in {SwingKind.FULL, SwingKind.PITCH}:
            msg = f"only full swings and pitches can be invented here, got {self.kind}"
            raise ValueError(msg)
        if not 1.4 <= self.height_m <= 2.1:
            msg = f"height_m is 1.4 to 2.1, got {self.height_m}"
            raise ValueError(msg)
        if not (0.5 <= self.backswing_s <= 1.3 and 0.18 <= self.downswing_s <= 0.45):
            msg = f"no golfer swings {self.backswing_s} s back and {self.downswing_s} s down"
            raise ValueError(msg)
