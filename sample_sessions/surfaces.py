"""Turns a pose into coloured four-cornered faces: lofted limbs, clothes, shoes, club and ball.

Owns the golfer's looks. Every part is a row of rings, so limbs taper, the torso twists from belt to
shoulders, and sleeves end where sleeves end. Refuses cameras and light; `render` draws the faces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np

from capturestation.records import ClubGroup, FloatArray, Hand, IntArray
from sample_sessions.golfer import Pose
from sample_sessions.parameters import BALL_RADIUS_M, SwingParameters

Colour: TypeAlias = tuple[int, int, int]
AROUND = 34
# Corners in a ring; fewer show as edges on the torso.


@dataclass(frozen=True, slots=True, kw_only=True)
class Clothes:
    """Plain colours, RGB."""

    shirt: Colour = (52, 110, 140)
    trousers: Colour = (98, 100, 108)
    belt: Colour = (236, 232, 222)
    shoes: Colour = (232, 232, 230)
    cap: Colour = (238, 236, 230)
    glove: Colour = (240, 240, 238)
    skin: Colour = (222, 174, 142)
    hair: Colour = (70, 52, 40)


@dataclass(frozen=True, slots=True)
class Faces:
    """Corners in metres (v, 3), four corner numbers a face (f, 4), colour a face (f, 3)."""

    corners: FloatArray
    quads: IntArray
    colours: FloatArray


@dataclass(frozen=True, slots=True)
class _Ring:
    """One ring of a loft: middle, two half axes with their lengths, colour up to the next ring."""

    middle: FloatArray
    side: FloatArray
    ahead: FloatArray
    colour: Colour


def faces(pose: Pose, index: int, swing: SwingParameters, clothes: Clothes) -> Faces:
    """All faces of the golfer, his club and the ball at one time of a pose.

    Args:
        pose: Positions over times.
        index: Which of the times.
        swing: For the club's and the body's sizes.
        clothes: Colours.
    """
    at = _Reader(pose, index, swing.height_m / 1.78)
    parts = [
        _finer(_torso(at, clothes)),
        _yoke(at, clothes),
        *_legs(at, clothes),
        *_arms(at, clothes),
        *_head(at, clothes),
        *_club(at, swing),
        _ball(at),
    ]
    return _joined(parts)


class _Reader:
    """Hands out the vectors of one time; sizes are for a golfer of 1.78 m."""

    def __init__(self, pose: Pose, index: int, scale: float) -> None:
        self.pose = pose
        self.index = index
        self.scale = scale

    def __getitem__(self, name: str) -> FloatArray:
        row: FloatArray = getattr(self.pose, name)[self.index]
        return row


def _unit(a: FloatArray) -> FloatArray:
    return np.asarray(a / max(float(np.linalg.norm(a)), 1e-9), dtype=np.float64)


def _square_to(a: FloatArray, axis: FloatArray) -> FloatArray:
    return _unit(a - (a @ axis) * axis)


def _torso(at: _Reader, clothes: Clothes) -> list[_Ring]:
    """From the crotch to the neck, twisting from the pelvis's turn to the chest's."""
    scale = at.scale
    spine = at["spine_up"]
    # The pelvis leans half as far as the spine above it, so the seat is round.
    seat = _unit(0.45 * spine + np.array([0.0, 0.0, 0.55]))
    low, high = at["pelvis"] - 0.07 * scale * seat, at["chest"]
    waist = at["pelvis"] + 0.11 * scale * seat
    shrug = 0.5 * (at["lead_shoulder"] + at["trail_shoulder"]) - high
    # Share of the way up, half width, half depth, push ahead, colour.
    outline: Sequence[tuple[float, float, float, float, Colour]] = (
        (-0.06, 0.060, 0.060, 0.00, clothes.trousers),
        (-0.01, 0.145, 0.112, -0.01, clothes.trousers),
        (0.08, 0.174, 0.130, -0.018, clothes.trousers),
        (0.20, 0.170, 0.122, -0.010, clothes.trousers),
        (0.295, 0.160, 0.115, -0.002, clothes.belt),
        (0.335, 0.161, 0.116, 0.00, clothes.shirt),
        (0.41, 0.157, 0.112, 0.004, clothes.shirt),
        (0.52, 0.160, 0.113, 0.006, clothes.shirt),
        (0.64, 0.174, 0.119, 0.006, clothes.shirt),
        (0.77, 0.188, 0.121, 0.002, clothes.shirt),
        (0.87, 0.192, 0.112, -0.006, clothes.shirt),
        (0.945, 0.184, 0.094, -0.012, clothes.shirt),
        (1.00, 0.140, 0.072, -0.014, clothes.shirt),
        (1.035, 0.088, 0.062, -0.012, clothes.shirt),
        (1.065, 0.058, 0.056, -0.006, clothes.shirt),
    )
    rings = []
    for share, half_width, half_depth, push, colour in outline:
        twist = float(np.clip((share - 0.15) / 0.65, 0.0, 1.0))
        twist = twist * twist * (3.0 - 2.0 * twist)
        up = _unit((1.0 - twist) * seat + twist * spine)
        mixed = (1.0 - twist) * at["pelvis_side"] + twist * at["chest_side"]
        side = _square_to(mixed, up)
        ahead = np.cross(side, up)
        rest = 1.0 - share
        bow = rest * rest * low + 2.0 * rest * share * waist + share * share * high
        middle = bow + push * scale * ahead + twist * share * shrug
        rings.append(_Ring(middle, half_width * scale * side, half_depth * scale * ahead, colour))
    return rings


def _yoke(at: _Reader, clothes: Clothes) -> list[_Ring]:
    """The shirt from shoulder to shoulder, so that a raised arm stays joined to the chest."""
    lead, trail = at["lead_shoulder"], at["trail_shoulder"]
    low = -0.012 * at.scale * at["spine_up"]
    points = [_between(trail, lead, share) + low for share in (-0.06, 0.06, 0.3, 0.5, 0.7, 0.94, 1.06)]
    radii = [(0.03, 0.03), (0.06, 0.062), (0.07, 0.072), (0.072, 0.072), (0.07, 0.072)]
    radii += [(0.06, 0.062), (0.03, 0.03)]
    return _tube(points, radii, [clothes.shirt] * 7, at["spine_up"], at.scale)


def _tube(
    points: Sequence[FloatArray],
    radii: Sequence[tuple[float, float]],
    colours: Sequence[Colour],
    reference: FloatArray,
    scale: float = 1.0,
) -> list[_Ring]:
    """A loft along points; `reference` keeps the rings from twisting."""
    rings = []
    for place, point in enumerate(points):
        before, after = points[max(place - 1, 0)], points[min(place + 1, len(points) - 1)]
        axis = _unit(after - before)
        ahead = _square_to(reference, axis)
        side = np.cross(ahead, axis)
        wide, deep = radii[place]
        rings.append(_Ring(point, wide * scale * side, deep * scale * ahead, colours[place]))
    return rings


def _finer(rings: Sequence[_Ring]) -> list[_Ring]:
    """One more ring between each two, on a smooth curve through four neighbours."""
    finer = [rings[0]]
    for place in range(len(rings) - 1):
        four = [rings[max(place - 1, 0)], rings[place], rings[place + 1]]
        four.append(rings[min(place + 2, len(rings) - 1)])
        weights = (-0.0625, 0.5625, 0.5625, -0.0625)
        middle = sum((w * r.middle for w, r in zip(weights, four, strict=True)), np.zeros(3))
        side = sum((w * r.side for w, r in zip(weights, four, strict=True)), np.zeros(3))
        ahead = sum((w * r.ahead for w, r in zip(weights, four, strict=True)), np.zeros(3))
        finer += [_Ring(middle, side, ahead, rings[place].colour), rings[place + 1]]
    return finer


def _between(a: FloatArray, b: FloatArray, share: float) -> FloatArray:
    return np.asarray(a + share * (b - a), dtype=np.float64)


def _legs(at: _Reader, clothes: Clothes) -> list[list[_Ring]]:
    parts = []
    for leg in ("lead", "trail"):
        hip, knee, ankle = at[f"{leg}_hip"], at[f"{leg}_knee"], at[f"{leg}_ankle"]
        toe, heel = at[f"{leg}_toe"], at[f"{leg}_heel"]
        shank = _unit(ankle - knee)
        points = [
            _between(hip, knee, -0.04), _between(hip, knee, 0.08), _between(hip, knee, 0.30),
            _between(hip, knee, 0.60), _between(hip, knee, 0.86), knee,
            _between(knee, ankle, 0.14), _between(knee, ankle, 0.35), _between(knee, ankle, 0.65),
            _between(knee, ankle, 0.93), ankle + 0.035 * at.scale * shank,
        ]  # fmt: skip
        radii = [
            (0.060, 0.072), (0.093, 0.106), (0.092, 0.099), (0.077, 0.082), (0.068, 0.071),
            (0.066, 0.070), (0.063, 0.067), (0.062, 0.068), (0.056, 0.060), (0.053, 0.058),
            (0.050, 0.056),
        ]  # fmt: skip
        ahead = _unit(toe - heel)
        front = _unit(knee - 0.5 * (hip + ankle) + 0.02 * ahead)
        colours = [clothes.trousers] * len(points)
        parts.append(_finer(_tube(points, radii, colours, front, at.scale)))
        parts.append(_shoe(at, leg, clothes))
    return parts


def _shoe(at: _Reader, leg: str, clothes: Clothes) -> list[_Ring]:
    """Heel to toe, flat below; the toe part stays on the ground while the heel rises."""
    toe, heel = at[f"{leg}_toe"], at[f"{leg}_heel"]
    scale = at.scale
    flat = _unit((toe - heel) * np.array([1.0, 1.0, 0.0]))
    side = np.cross(flat, np.array([0.0, 0.0, 1.0]))
    pivot = toe - 0.071 * scale * flat
    sole = _unit(pivot - heel)
    up = np.cross(side, sole)
    vertical = np.array([0.0, 0.0, 1.0])
    outline = [
        (heel + 0.040 * scale * up, 0.026, 0.030, up), (heel + 0.046 * scale * up
         + 0.03 * scale * sole, 0.040, 0.046, up),
        (_between(heel, pivot, 0.42) + 0.044 * scale * up, 0.041, 0.044, up),
        (_between(heel, pivot, 0.75) + 0.034 * scale * up, 0.047, 0.034, up),
        (pivot + 0.027 * scale * _unit(up + vertical), 0.050, 0.027, _unit(up + vertical)),
        (pivot + 0.045 * scale * flat + 0.022 * scale * vertical, 0.044, 0.022, vertical),
        (toe + 0.012 * scale * flat + 0.016 * scale * vertical, 0.022, 0.014, vertical),
    ]  # fmt: skip
    rings = [
        _Ring(middle, wide * scale * side, tall * scale * normal, clothes.shoes)
        for middle, wide, tall, normal in outline
    ]
    return rings


def _arms(at: _Reader, clothes: Clothes) -> list[list[_Ring]]:
    parts = []
    for arm in ("lead", "trail"):
        shoulder, elbow = at[f"{arm}_shoulder"], at[f"{arm}_elbow"]
        wrist, hand = at[f"{arm}_wrist"], at[f"{arm}_hand"]
        points = [_between(shoulder, elbow, share) for share in (
            -0.20, -0.17, -0.10, 0.00, 0.14, 0.30, 0.46, 0.58, 0.581, 0.75, 0.90, 1.0,
        )]  # fmt: skip
        points += [_between(elbow, wrist, share) for share in (0.15, 0.40, 0.65, 0.85, 1.0)]
        radii = [
            (0.012, 0.012), (0.036, 0.036), (0.056, 0.056), (0.066, 0.066), (0.064, 0.064),
            (0.060, 0.061), (0.057, 0.059), (0.056, 0.058), (0.042, 0.044), (0.040, 0.043),
            (0.038, 0.041), (0.039, 0.041), (0.042, 0.044), (0.040, 0.042), (0.034, 0.036),
            (0.029, 0.031), (0.027, 0.030),
        ]  # fmt: skip
        colours = [clothes.shirt] * 8 + [clothes.skin] * 9
        bend_side = _unit(elbow - 0.5 * (shoulder + wrist) + 1e-3 * at["spine_up"])
        parts.append(_tube(points, radii, colours, bend_side, at.scale))
        cover = clothes.glove if arm == "lead" else clothes.skin
        shaft = _unit(at["club_hosel"] - at["club_butt"])
        palm = [
            _between(wrist, hand, -0.12), _between(wrist, hand, 0.25), _between(wrist, hand, 0.7),
            _between(wrist, hand, 1.05), _between(wrist, hand, 1.28),
        ]  # fmt: skip
        girth = [(0.026, 0.028), (0.030, 0.038), (0.034, 0.046), (0.032, 0.046), (0.016, 0.030)]
        parts.append(_tube(palm, girth, [cover] * 5, shaft, at.scale))
    return parts


def _head(at: _Reader, clothes: Clothes) -> list[list[_Ring]]:
    middle, up, scale = at["head"], at["head_up"], 1.06 * at.scale
    gaze = at["gaze"]
    # The face tips half as far as the eyes do.
    brow = _unit(_unit(gaze) + 1.5 * _square_to(gaze, np.array([0.0, 0.0, 1.0])))
    crown = _square_to(up, brow)
    side = np.cross(crown, brow)
    root = at["chest"] + 0.02 * scale * at["spine_up"]
    neck = _tube(
        [root, _between(root, middle, 0.45), middle - 0.02 * scale * crown],
        [(0.060, 0.062), (0.054, 0.056), (0.052, 0.054)],
        [clothes.skin] * 3,
        brow,
        scale,
    )
    # Height above the middle, half width, half depth, push ahead, colour up to the next ring.
    outline = (
        (-0.118, 0.018, 0.022, 0.045, clothes.skin), (-0.108, 0.042, 0.050, 0.034, clothes.skin),
        (-0.080, 0.058, 0.072, 0.018, clothes.skin), (-0.045, 0.068, 0.086, 0.006, clothes.skin),
        (0.000, 0.074, 0.094, 0.000, clothes.skin), (0.032, 0.076, 0.097, -0.002, clothes.cap),
        (0.033, 0.081, 0.102, -0.002, clothes.cap), (0.066, 0.078, 0.098, -0.004, clothes.cap),
        (0.096, 0.062, 0.080, -0.006, clothes.cap), (0.116, 0.034, 0.046, -0.008, clothes.cap),
        (0.121, 0.004, 0.006, -0.008, clothes.cap),
    )  # fmt: skip
    skull = [
        _Ring(
            middle + scale * (height * crown + push * brow),
            wide * scale * side,
            deep * scale * brow,
            colour,
        )
        for height, wide, deep, push, colour in outline
    ]
    bill = [
        _Ring(
            middle + scale * (ahead * brow + (0.034 - 0.25 * (ahead - 0.06)) * crown),
            wide * scale * side,
            0.006 * scale * crown,
            clothes.cap,
        )
        for ahead, wide in ((0.055, 0.070), (0.10, 0.072), (0.14, 0.062), (0.160, 0.030))
    ]
    nose = [
        _Ring(
            middle + scale * (ahead * brow + low * crown),
            wide * scale * side,
            0.010 * scale * crown,
            clothes.skin,
        )
        for ahead, low, wide in ((0.085, -0.012, 0.014), (0.108, -0.022, 0.012))
    ]
    back = [
        _Ring(
            middle + scale * (height * crown - 0.022 * brow),
            wide * scale * side,
            deep * scale * brow,
            clothes.hair,
        )
        for height, wide, deep in ((-0.075, 0.050, 0.066), (-0.04, 0.071, 0.078), (0.0, 0.077, 0.083), (0.033, 0.079, 0.085))
    ]
    return [neck, skull, bill, nose, back]


GRIP: Colour = (38, 38, 42)
STEEL: Colour = (196, 200, 206)
CARBON: Colour = (52, 54, 60)


def _club(at: _Reader, swing: SwingParameters) -> list[list[_Ring]]:
    butt, face, toe = at["club_butt"], at["club_face"], at["club_toe"]
    hosel = at["club_hosel"]
    axis = _unit(hosel - butt)
    wood = swing.club.group is ClubGroup.DRIVER
    shaft_colour = CARBON if wood else STEEL
    long_m = float(np.linalg.norm(hosel - butt))
    grip = 0.27 / long_m
    points = [butt, _between(butt, hosel, grip), _between(butt, hosel, grip + 0.001)]
    points += [_between(butt, hosel, share) for share in (0.5, 0.62, 0.74, 0.86, 0.985)]
    radii = [(0.0135, 0.0135), (0.0105, 0.0105), (0.0072, 0.0072)]
    radii += [(0.0068, 0.0068), (0.0064, 0.0064), (0.006, 0.006), (0.0056, 0.0056), (0.0052, 0.0052)]
    colours = [GRIP, GRIP] + [shaft_colour] * 6
    back = np.cross(toe, axis) * (-1.0 if swing.hand is Hand.RIGHT else 1.0)
    head = _wood_head(face, toe, back) if wood else _iron_head(face, toe, axis, back)
    return [_tube(points, radii, colours, toe), head]


def _iron_head(
    face: FloatArray, toe: FloatArray, axis: FloatArray, back: FloatArray
) -> list[_Ring]:
    """A blade from heel to toe, taller at the toe."""
    return [
        _Ring(face + along * toe + low * axis, tall * axis, thick * back, STEEL)
        for along, low, tall, thick in (
            (-0.038, -0.006, 0.012, 0.008), (-0.030, 0.000, 0.018, 0.010),
            (0.000, -0.002, 0.022, 0.010), (0.026, -0.005, 0.027, 0.010),
            (0.038, -0.008, 0.024, 0.007),
        )
    ]  # fmt: skip


def _wood_head(face: FloatArray, toe: FloatArray, back: FloatArray) -> list[_Ring]:
    """A pear of about 0.11 m, the face ahead."""
    tall = np.cross(toe, back)
    return [
        _Ring(face + behind * back + 0.010 * toe, wide * toe, high * tall, CARBON)
        for behind, wide, high in (
            (0.000, 0.046, 0.024), (0.012, 0.054, 0.029), (0.040, 0.056, 0.030),
            (0.070, 0.046, 0.025), (0.092, 0.024, 0.014),
        )
    ]  # fmt: skip


def _ball(at: _Reader) -> list[_Ring]:
    middle = at["ball"]
    side, ahead = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    rings = []
    for latitude in np.radians(np.linspace(-88.0, 88.0, 9)):
        radius = BALL_RADIUS_M * float(np.cos(latitude))
        height = np.array([0.0, 0.0, BALL_RADIUS_M * float(np.sin(latitude))])
        rings.append(_Ring(middle + height, radius * side, radius * ahead, (250, 250, 248)))
    return rings


@cache
def _circle() -> FloatArray:
    angle = np.linspace(0.0, 2.0 * np.pi, AROUND, endpoint=False)
    return np.stack([np.cos(angle), np.sin(angle)])


def _joined(parts: Sequence[Sequence[_Ring]]) -> Faces:
    """Rings to corners and faces, ends closed."""
    rings = [ring for part in parts for ring in part]
    middles = np.stack([ring.middle for ring in rings])
    sides = np.stack([ring.side for ring in rings])
    aheads = np.stack([ring.ahead for ring in rings])
    cos, sin = _circle()
    corners = middles[:, None] + cos[:, None] * sides[:, None] + sin[:, None] * aheads[:, None]
    quads = _numbering(tuple(len(part) for part in parts))
    colours = [
        np.repeat(np.array([r.colour for r in part[:-1]], dtype=np.float64), AROUND, axis=0)
        for part in parts
    ]
    caps = [np.array(part[end].colour) for part in parts for end in (0, -1)]
    colours.append(np.repeat(np.array(caps, dtype=np.float64), AROUND // 2 - 1, axis=0))
    return Faces(corners.reshape(-1, 3), quads, np.concatenate(colours))


@cache
def _numbering(sizes: tuple[int, ...]) -> IntArray:
    """Four corner numbers a face: first all sides, then a fan of quads closing each end."""
    around = np.arange(AROUND)
    after = (around + 1) % AROUND
    sides, caps, start = [], [], 0
    for size in sizes:
        for ring in range(size - 1):
            low, high = start + ring * AROUND, start + (ring + 1) * AROUND
            sides.append(np.stack([low + around, low + after, high + after, high + around], axis=1))
        for ring in (0, size - 1):
            base = start + ring * AROUND
            steps = np.arange(AROUND // 2 - 1)
            fan = np.stack(
                [base + steps, base + steps + 1, base + AROUND - 2 - steps, base + AROUND - 1 - steps],
                axis=1,
            )
            caps.append(fan)
        start += size * AROUND
    return np.concatenate(sides + caps).astype(np.int64)
