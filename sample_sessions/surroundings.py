"""What goes on around one swing: other balls and people, the lamps, the next bay.

Owns parameters only. None changes the swing; all change what camera and microphone get.
"""

from __future__ import annotations

from dataclasses import dataclass

WHITE = (250, 250, 248)
SAFE_RE_TEE_S = 4.5
# Whoever tees the next ball up is still behind the golfer at impact then.


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Parameters of the bay on that day; times in seconds of the swing's clock.

    Args:
        ball_rgb: Colour of the ball that is struck.
        spare_balls_m: Where balls lie that nobody strikes, x and y each.
        re_tee_s: When somebody has set the next ball down; None for nobody.
        passes_s: When somebody walking by is opposite the ball; None for nobody.
        passes_y_m: On which line, and 2.0 is behind a right-handed golfer.
        passes_m_s: How fast, positive to the target.
        next_bay_s: When strikes in the next bay leave their ball.
        next_bay_share: How loud they arrive here; 1 is as loud as ours.
        flicker: How far the lamps' brightness swings about its mean, as a share.
        mains_hz: The lamps swing at twice that.
        noise_levels: Of the sensor, standard deviation, 0..255.
        second_stick: Whether a stick also lies along the toes.
    """

    ball_rgb: tuple[int, ...] = WHITE
    spare_balls_m: tuple[tuple[float, ...], ...] = ()
    re_tee_s: float | None = None
    passes_s: float | None = None
    passes_y_m: float = 2.0
    passes_m_s: float = 1.3
    next_bay_s: tuple[float, ...] = ()
    next_bay_share: float = 1.0
    flicker: float = 0.0
    mains_hz: float = 50.0
    noise_levels: float = 1.2
    second_stick: bool = False

    def __post_init__(self) -> None:
        if len(self.ball_rgb) != 3 or not all(0 <= level <= 255 for level in self.ball_rgb):
            msg = f"ball_rgb is three levels of 0 to 255, got {self.ball_rgb}"
            raise ValueError(msg)
        if any(len(place) != 2 for place in self.spare_balls_m):
            msg = f"a spare ball lies at x, y, got {self.spare_balls_m}"
            raise ValueError(msg)
        if self.re_tee_s is not None and self.re_tee_s < SAFE_RE_TEE_S:
            msg = f"nobody stands ahead of a ball that is struck: re_tee_s from {SAFE_RE_TEE_S}, "
            msg += f"got {self.re_tee_s}"
            raise ValueError(msg)
        if not 0.0 <= self.flicker < 1.0:
            msg = f"flicker is 0 to under 1, got {self.flicker}"
            raise ValueError(msg)


QUIET_BAY = Surroundings()
