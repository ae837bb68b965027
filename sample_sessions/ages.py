"""How proportions and pace of golfers change from child to senior.

Owns a small table. The values are plausible, not measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Age(StrEnum):
    """Three ages of golfers."""

    CHILD = "child"
    ADULT = "adult"
    SENIOR = "senior"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proportions:
    """Shares of an adult's share of the height.

    Args:
        legs: Of thigh and shank.
        trunk: From hips to shoulders.
        arms: Of upper arm and forearm.
        shoulders: Half their width.
        head: Of the head's size.
        stoop_deg: How far neck and head bend further forward.
    """

    legs: float = 1.0
    trunk: float = 1.0
    arms: float = 1.0
    shoulders: float = 1.0
    head: float = 1.0
    stoop_deg: float = 0.0


PROPORTIONS = {
    Age.CHILD: Proportions(legs=0.965, trunk=1.01, arms=0.985, shoulders=0.96, head=1.22),
    Age.ADULT: Proportions(),
    Age.SENIOR: Proportions(legs=1.0, trunk=0.97, arms=1.01, shoulders=0.98, stoop_deg=9.0),
}
ADULTS = PROPORTIONS[Age.ADULT]
HEIGHTS_M = {Age.CHILD: (1.15, 1.55), Age.ADULT: (1.50, 2.00), Age.SENIOR: (1.50, 1.92)}
"""What is taken for a golfer of that age."""
