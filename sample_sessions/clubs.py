"""The clubs of the invented bay, and how one is fitted to a golfer's height.

Owns lengths, lies, and what the ball does off each. Refuses to swing them; `golfer` does.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import ClubGroup, club_group

BALL_RADIUS_M = 0.02135
# The least that the rules allow: 42.67 mm across.
FITTED_FOR_M = 1.78
_LENGTH_POWER = 0.6
# A golfer of 1.95 m gets clubs 5 cm longer than one of 1.78 m; a child of 1.25 m a fifth shorter.


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

    def fitted(self, height_m: float) -> Club:
        """The same club in the length that suits a height, held at the angle that follows.

        Hands hang in proportion to the height, so a tall golfer's shaft stands steeper.
        """
        grown = height_m / FITTED_FOR_M
        length_share = grown**_LENGTH_POWER
        rise = np.sin(np.radians(self.plane_deg)) * grown / length_share
        return replace(
            self,
            grip_to_face_m=self.grip_to_face_m * length_share,
            plane_deg=float(np.degrees(np.arcsin(min(rise, 0.97)))),
            ball_back_m=self.ball_back_m * grown,
            ball_speed_m_s=self.ball_speed_m_s * length_share**2,
        )


DRIVER = Club(
    name="driver", grip_to_face_m=1.04, butt_m=0.08, plane_deg=47.5, tee_m=0.025,
    ball_back_m=0.13, ball_speed_m_s=65.0, launch_deg=13.0, impact_lean_deg=-1.0,
    speed_share=1.02, lean_more_deg=-1.0,
)  # fmt: skip
IRON_7 = Club(
    name="7 iron", grip_to_face_m=0.86, butt_m=0.08, plane_deg=60.0, tee_m=0.0,
    ball_back_m=0.03, ball_speed_m_s=49.0, launch_deg=19.0, impact_lean_deg=7.0,
    speed_share=1.0,
)  # fmt: skip
WEDGE = Club(
    name="sand wedge", grip_to_face_m=0.81, butt_m=0.08, plane_deg=63.0, tee_m=0.0,
    ball_back_m=0.01, ball_speed_m_s=36.0, launch_deg=28.0, impact_lean_deg=7.0,
    speed_share=0.98, lean_more_deg=2.5,
)  # fmt: skip
CLUBS = {club.name: club for club in (DRIVER, IRON_7, WEDGE)}
