"""Wide clothes: a rain jacket to the hips with long sleeves, and wide trousers, both in folds.

Owns how far cloth stands off the body and where it hangs. Its folds travel as the golfer turns, so
that the outline moves otherwise than what is under it. Refuses to know faces; it widens rings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.records import FloatArray
from sample_sessions.clothes import Loose, Reader
from sample_sessions.rings import Colour, Ring, unit_of

_TORSO_STANDS = ((-0.03, 0.0), (0.04, 0.75), (0.22, 1.0), (0.64, 1.0), (0.87, 0.6), (1.0, 0.35),
                 (1.08, 0.2), (1.11, 0.0))  # fmt: skip
# Share of the way up the torso, how far the jacket stands off there.
_HEM, _COLLAR = 0.0, 1.09
_FOLDS, _TURNS = 1.7, 3.0
# How quickly folds follow each other along a limb, and how far they travel as he turns.
_THICKER, _DEEP = 0.75, 0.35


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cloth:
    """What hangs on one limb.

    Args:
        off_m: How far it stands off at each ring, in the middle between its folds.
        phase: Where its folds begin, rad.
        colour: Its colour.
    """

    off_m: FloatArray
    phase: float
    colour: Colour


def jacket(rings: list[Ring], shares: Sequence[float], at: Reader, loose: Loose) -> list[Ring]:
    """The torso's rings under a jacket.

    Args:
        rings: Of the torso.
        shares: How far up each of them is.
        at: The pose.
        loose: How wide it is.
    """
    ups, offs = np.array(_TORSO_STANDS).T
    stands = np.interp(shares, ups, offs)
    cloth = _Cloth(off_m=loose.jacket_m * stands, phase=loose.phases[0], colour=loose.jacket)
    hung = _hung(rings, cloth, at, loose)
    return [
        over if _HEM < share < _COLLAR else ring
        for ring, over, share in zip(rings, hung, shares, strict=True)
    ]


def sleeve(rings: list[Ring], arm: int, at: Reader, loose: Loose) -> list[Ring]:
    """An arm's rings from shoulder to wrist in a long sleeve.

    Args:
        rings: Of the arm, the last two at and behind the wrist.
        arm: 0 for the lead one, else 1.
        at: The pose.
        loose: How wide it is.
    """
    stands = np.interp(np.arange(len(rings)), (1, 4, len(rings) - 4, len(rings) - 2),
                       (0.2, 0.8, 0.8, 0.3))  # fmt: skip
    cloth = _Cloth(off_m=loose.jacket_m * stands, phase=loose.phases[1 + arm], colour=loose.jacket)
    return _hung(rings, cloth, at, loose)


def trouser_leg(rings: list[Ring], leg: int, at: Reader, loose: Loose) -> list[Ring]:
    """A leg's rings in wide trousers.

    Args:
        rings: From hip to ankle.
        leg: 0 for the lead one, else 1.
        at: The pose.
        loose: How wide it is.
    """
    stands = np.interp(np.linspace(0.0, 1.0, len(rings)), (0.0, 0.3, 1.0), (0.3, 0.8, 1.1))
    colour = rings[0].colour
    cloth = _Cloth(off_m=loose.trousers_m * stands, phase=loose.phases[3 + leg], colour=colour)
    return _hung(rings, cloth, at, loose)


def _hung(rings: list[Ring], cloth: _Cloth, at: Reader, loose: Loose) -> list[Ring]:
    side = at["chest_side"] + at["pelvis_side"]
    turned = _TURNS * float(np.arctan2(side[1], side[0]))
    hung = []
    for number, (ring, off_m) in enumerate(zip(rings, cloth.off_m, strict=True)):
        fold = turned + cloth.phase + _FOLDS * number
        thick = off_m * at.scale * (_THICKER + _DEEP * np.sin(fold))
        aside = loose.sway_m * off_m / max(loose.jacket_m, loose.trousers_m, 1e-9)
        shift = aside * at.scale * np.cos(0.7 * fold) * unit_of(ring.side + ring.ahead)
        hung.append(
            Ring(
                ring.middle + shift,
                ring.side + thick * unit_of(ring.side),
                ring.ahead + thick * unit_of(ring.ahead),
                cloth.colour,
            )
        )
    return hung


def rain_clothes(seed: int) -> Loose:
    """Wide clothes of somebody: as wide, coloured and folded as that seed has them."""
    random = np.random.default_rng((781, seed))
    wide = [float(one) for one in random.uniform(0.03, 0.06, 2)]
    level = [int(one) for one in random.integers(25, 200, 3)]
    return Loose(
        jacket_m=wide[0],
        trousers_m=wide[1],
        sway_m=float(random.uniform(0.01, 0.025)),
        jacket=(level[0], level[1], level[2]),
        phases=tuple(float(one) for one in random.uniform(0.0, 2.0 * np.pi, 5)),
    )
