"""What makes one invented swing this one and no other: body, club, tempo, turns, departures.

Owns the parameters and their defaults. Refuses to compute positions; `golfer` does.
"""

from __future__ import annotations

from dataclasses import dataclass

from capturestation.records import Hand, SwingKind
from sample_sessions.ages import HEIGHTS_M, PROPORTIONS, Age, Proportions
from sample_sessions.clubs import CLUBS, IRON_7, Club
from sample_sessions.surroundings import QUIET_BAY, Surroundings

KINDS = (SwingKind.FULL, SwingKind.PART, SwingKind.PITCH, SwingKind.REHEARSAL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Departures:
    """What is put in on purpose, so that a measure has something known to find.

    Args:
        pelvis_late_deg: How much more closed the pelvis still is with the lead arm level
            on the way down.
        slide_m: How far the pelvis slides away from the target by the top.
        off_plane_deg: How far the shaft is off its plane with the lead arm level on the way
            down; positive to the outside (over the plane).
        stand_up_deg: How much of the spine's lean is lost by impact, the hips going to the ball.
        falls_back_m: How far the pelvis falls back to the trail foot instead of standing on the
            lead leg; he goes on stumbling, so that no finish is held.
    """

    pelvis_late_deg: float = 0.0
    slide_m: float = 0.0
    off_plane_deg: float = 0.0
    stand_up_deg: float = 0.0
    falls_back_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingParameters:
    """Everything that shapes one swing; the same values give the same swing on any machine.

    Args:
        height_m: The golfer's height.
        age: Decides proportions.
        girth: Thickness of trunk and limbs as a share of a slim adult's.
        hand: Which way he stands.
        club_name: What he swings, one of `CLUBS`.
        kind: Full, part, pitch, or a rehearsal: a full swing that strikes no ball.
        backswing_s: From the club's start to the top.
        downswing_s: From the top to impact.
        stance_share: Stance width (ankles) over shoulder width.
        pelvis_top_deg: Turn of the pelvis at its most, closed, about the vertical.
        chest_top_deg: Turn of the chest at the top, closed, about the spine.
        pelvis_down_deg: Turn of the pelvis with the lead arm level on the way down.
        pelvis_impact_deg: Turn of the pelvis at impact; negative is open.
        chest_impact_deg: Turn of the chest at impact.
        knee_deg: Angle of the knees at set, 180 is straight.
        rise_deg: How much more upright the spine is at impact than at set.
        lead_arm_deg: Angle of the lead elbow at set, 180 is straight.
        side_bend_deg: How far the spine is bent away from the target at set.
        lean_deg: Forward lean of the spine at set with a 7 iron, from the vertical.
        club_top_deg: How far the club has swung round at the top, 270 is level.
        finish_s: From impact until the finish stands.
        departures: What is put in on purpose.
        around: What else is in the bay.
        seed: Drives noise in picture and sound only, never the motion.
    """

    height_m: float = 1.78
    age: Age = Age.ADULT
    girth: float = 1.0
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
    chest_impact_deg: float = -20.0
    knee_deg: float = 161.0
    rise_deg: float = 4.0
    lead_arm_deg: float = 163.0
    side_bend_deg: float = 6.0
    lean_deg: float = 25.0
    club_top_deg: float = 262.0
    finish_s: float = 0.72
    departures: Departures = Departures()
    around: Surroundings = QUIET_BAY
    seed: int = 1

    @property
    def club(self) -> Club:
        """The club of that name, in this golfer's length."""
        return CLUBS[self.club_name].fitted(self.height_m)

    @property
    def set_lean_deg(self) -> float:
        """Forward lean at set with this club."""
        return self.lean_deg + self.club.lean_more_deg

    @property
    def is_full(self) -> bool:
        """True unless it is a pitch or a part swing."""
        return self.kind in {SwingKind.FULL, SwingKind.REHEARSAL}

    @property
    def is_pitch(self) -> bool:
        """True of the shortest kind."""
        return self.kind is SwingKind.PITCH

    def by_kind(self, full: float, part: float, pitch: float) -> float:
        """Whichever of the three this kind of swing takes."""
        return pitch if self.is_pitch else full if self.is_full else part

    @property
    def strikes(self) -> bool:
        """False of a rehearsal."""
        return self.kind is not SwingKind.REHEARSAL

    @property
    def proportions(self) -> Proportions:
        """Of the golfer's age."""
        return PROPORTIONS[self.age]

    def __post_init__(self) -> None:
        if self.club_name not in CLUBS:
            msg = f"clubs here are {', '.join(CLUBS)}, got {self.club_name}"
            raise ValueError(msg)
        if self.kind not in KINDS:
            msg = f"swings here are {', '.join(KINDS)}, got {self.kind}"
            raise ValueError(msg)
        low, high = HEIGHTS_M[self.age]
        if not low <= self.height_m <= high:
            msg = f"height_m of {self.age} is {low} to {high}, got {self.height_m}"
            raise ValueError(msg)
        if not (0.5 <= self.backswing_s <= 1.3 and 0.18 <= self.downswing_s <= 0.45):
            msg = f"no golfer swings {self.backswing_s} s back and {self.downswing_s} s down"
            raise ValueError(msg)
