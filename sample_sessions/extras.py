"""The golfer's head, his club and the ball as rings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from capturestation.records import ClubGroup, FloatArray, Hand
from sample_sessions.clothes import Clothes, Reader
from sample_sessions.clubs import BALL_RADIUS_M
from sample_sessions.parameters import SwingParameters
from sample_sessions.rings import Colour, Ring, between, cross_of, square_to, tube, unit_of

_Slice: TypeAlias = tuple[float, float, float, float, str]
# Height above the middle, half width, half depth, push ahead, colour; in metres.
_SKULL = (
    (-0.118, 0.018, 0.022, 0.045, "skin"), (-0.108, 0.042, 0.050, 0.034, "skin"),
    (-0.080, 0.058, 0.072, 0.018, "skin"), (-0.045, 0.068, 0.086, 0.006, "skin"),
    (0.000, 0.074, 0.094, 0.000, "skin"), (0.032, 0.076, 0.097, -0.002, "cap"),
    (0.033, 0.081, 0.102, -0.002, "cap"), (0.055, 0.080, 0.100, -0.003, "cap"),
    (0.078, 0.073, 0.092, -0.005, "cap"), (0.098, 0.060, 0.077, -0.006, "cap"),
    (0.112, 0.040, 0.053, -0.008, "cap"), (0.119, 0.020, 0.028, -0.008, "cap"),
    (0.121, 0.004, 0.006, -0.008, "cap"),
)  # fmt: skip
_HAIR = (
    (-0.080, 0.046, 0.066, -0.026, "hair"), (-0.040, 0.073, 0.078, -0.026, "hair"),
    (0.000, 0.079, 0.082, -0.026, "hair"), (0.033, 0.081, 0.083, -0.026, "hair"),
)  # fmt: skip
# Ahead of the middle, above it, half width, half thickness, colour.
_BILL = (
    (0.055, 0.035, 0.070, 0.006, "cap"), (0.100, 0.024, 0.072, 0.006, "cap"),
    (0.140, 0.014, 0.062, 0.006, "cap"), (0.160, 0.009, 0.030, 0.006, "cap"),
)  # fmt: skip
_NOSE = ((0.085, -0.012, 0.014, 0.010, "skin"), (0.108, -0.022, 0.012, 0.010, "skin"))
_EARS = (
    (-0.036, 0.003, 0.006), (-0.026, 0.010, 0.014), (-0.004, 0.012, 0.019), (0.016, 0.011, 0.018),
    (0.026, 0.003, 0.007),
)  # fmt: skip
# Height, how far it stands out, half depth.
_EAR_ASIDE_M, _EYE_ASIDE_M = 0.076, 0.031
_EYE_AT_M = (0.004, 0.083)
# Above the middle and ahead of it.
_EYE: Colour = (62, 50, 44)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Skull:
    """The head's own frame: middle, up, ahead and to the lead side, and metres to one of ours."""

    middle: FloatArray
    crown: FloatArray
    brow: FloatArray
    side: FloatArray
    scale: float

    def place(self, across_m: float, above_m: float, ahead_m: float) -> FloatArray:
        """A spot on it, in the bay."""
        off = across_m * self.side + above_m * self.crown + ahead_m * self.brow
        return np.asarray(self.middle + self.scale * off, dtype=np.float64)

    def stacked(self, rows: tuple[_Slice, ...], clothes: Clothes) -> list[Ring]:
        """Level rings, one above the other."""
        return [
            Ring(self.place(0.0, above, push), wide * self.scale * self.side,
                 deep * self.scale * self.brow, getattr(clothes, colour))
            for above, wide, deep, push, colour in rows
        ]  # fmt: skip

    def jutting(self, rows: tuple[_Slice, ...], clothes: Clothes) -> list[Ring]:
        """Upright rings, one ahead of the other."""
        return [
            Ring(self.place(0.0, above, ahead), wide * self.scale * self.side,
                 thick * self.scale * self.crown, getattr(clothes, colour))
            for ahead, above, wide, thick, colour in rows
        ]  # fmt: skip

    def ear(self, sign: float, skin: Colour) -> list[Ring]:
        """A small shell on one side."""
        return [
            Ring(self.place(sign * _EAR_ASIDE_M, above, -0.004), out * self.scale * self.side,
                 deep * self.scale * self.brow, skin)
            for above, out, deep in _EARS
        ]  # fmt: skip

    def eye(self, across_m: float) -> list[Ring]:
        """A dark bead, wider than high."""
        return [
            Ring(self.place(across_m + along, *_EYE_AT_M), thick * self.scale * self.crown,
                 thick * self.scale * self.brow, _EYE)
            for along, thick in ((-0.010, 0.002), (-0.005, 0.0052), (0.005, 0.0052), (0.010, 0.002))
        ]  # fmt: skip


def head(at: Reader, clothes: Clothes) -> list[list[Ring]]:
    """Neck, skull with cap, bill, nose, hair, ears and eyes."""
    gaze, up = at["gaze"], at["head_up"]
    # The face tips half as far as the eyes do.
    brow = unit_of(unit_of(gaze) + 1.5 * square_to(gaze, np.array([0.0, 0.0, 1.0])))
    crown = square_to(up, brow)
    skull = _Skull(
        middle=at["head"], crown=crown, brow=brow, side=cross_of(crown, brow),
        scale=1.06 * at.head_scale,
    )  # fmt: skip
    root = at["chest"] + 0.02 * skull.scale * at["spine_up"]
    neck = tube(
        [root, between(root, skull.middle, 0.45), skull.place(0.0, -0.02, 0.0)],
        [(0.046, 0.042), (0.048, 0.053), (0.047, 0.054)],
        [clothes.skin] * 3,
        brow,
        skull.scale,
    )
    return [
        neck, skull.stacked(_SKULL, clothes), skull.jutting(_BILL, clothes),
        skull.jutting(_NOSE, clothes), skull.stacked(_HAIR, clothes),
        *(skull.ear(sign, clothes.skin) for sign in (-1.0, 1.0)),
        *(skull.eye(across_m) for across_m in (-_EYE_ASIDE_M, _EYE_ASIDE_M)),
    ]  # fmt: skip


GRIP: Colour = (38, 38, 42)
STEEL: Colour = (196, 200, 206)
SHAFT: Colour = (132, 136, 144)
# Darker than a head of the same steel: what a thin round mirror shows is mostly the dark floor.
CARBON: Colour = (52, 54, 60)


def club(at: Reader, swing: SwingParameters) -> list[list[Ring]]:
    """Shaft with grip, and a head of the club's group."""
    butt, face, toe = at["club_butt"], at["club_face"], at["club_toe"]
    hosel = at["club_hosel"]
    axis = unit_of(hosel - butt)
    wood = swing.club.group is ClubGroup.DRIVER
    shaft_colour = CARBON if wood else SHAFT
    long_m = float(np.linalg.norm(hosel - butt))
    grip = 0.27 / long_m
    points = [butt, between(butt, hosel, grip), between(butt, hosel, grip + 0.001)]
    points += [between(butt, hosel, share) for share in (0.5, 0.62, 0.74, 0.86, 0.985)]
    radii = [(0.0135, 0.0135), (0.0105, 0.0105), (0.0072, 0.0072)]
    radii += [
        (0.0068, 0.0068),
        (0.0064, 0.0064),
        (0.006, 0.006),
        (0.0056, 0.0056),
        (0.0052, 0.0052),
    ]
    colours = [GRIP, GRIP] + [shaft_colour] * 6
    back = cross_of(toe, axis) * (-1.0 if swing.hand is Hand.RIGHT else 1.0)
    head = _wood_head(face, toe, back) if wood else _iron_head(face, toe, axis, back)
    return [tube(points, radii, colours, toe), head]


def _iron_head(face: FloatArray, toe: FloatArray, axis: FloatArray, back: FloatArray) -> list[Ring]:
    """A blade from heel to toe, taller at the toe."""
    return [
        Ring(face + along * toe + low * axis, tall * axis, thick * back, STEEL)
        for along, low, tall, thick in (
            (-0.038, -0.006, 0.012, 0.008), (-0.030, 0.000, 0.018, 0.010),
            (0.000, -0.002, 0.022, 0.010), (0.026, -0.005, 0.027, 0.010),
            (0.038, -0.008, 0.024, 0.007),
        )
    ]  # fmt: skip


def _wood_head(face: FloatArray, toe: FloatArray, back: FloatArray) -> list[Ring]:
    """A pear of about 0.11 m, the face ahead."""
    tall = cross_of(toe, back)
    return [
        Ring(face + behind * back + 0.010 * toe, wide * toe, high * tall, CARBON)
        for behind, wide, high in (
            (0.000, 0.046, 0.024), (0.012, 0.054, 0.029), (0.040, 0.056, 0.030),
            (0.070, 0.046, 0.025), (0.092, 0.024, 0.014),
        )
    ]  # fmt: skip


def ball(middle: FloatArray, colour: tuple[int, ...]) -> list[Ring]:
    """A sphere, from pole to pole."""
    side, ahead = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    red, green, blue = colour
    rings = []
    for latitude in np.radians(np.linspace(-88.0, 88.0, 9)):
        radius = BALL_RADIUS_M * float(np.cos(latitude))
        height = np.array([0.0, 0.0, BALL_RADIUS_M * float(np.sin(latitude))])
        rings.append(Ring(middle + height, radius * side, radius * ahead, (red, green, blue)))
    return rings
