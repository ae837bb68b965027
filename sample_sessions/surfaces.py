"""Turns a pose into coloured faces: torso, legs, arms; limbs taper and sleeves end.

Owns the golfer's looks from neck to shoes. The torso twists from belt to shoulders. Refuses cameras
and light; `raster` draws the faces.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sample_sessions.clothes import Clothes, Reader
from sample_sessions.extras import ball, club, head
from sample_sessions.loose import jacket, sleeve, trouser_leg
from sample_sessions.parameters import SwingParameters
from sample_sessions.rings import (
    Faces,
    Ring,
    between,
    cross_of,
    finer,
    joined,
    square_to,
    tube,
    unit_of,
)

# Share of the way up, half width, half depth, push ahead, what it is the colour of.
_TORSO: Sequence[tuple[float, float, float, float, str]] = (
    (-0.06, 0.056, 0.064, 0.00, "trousers"),
    (-0.03, 0.112, 0.100, -0.006, "trousers"),
    (0.04, 0.164, 0.116, -0.010, "trousers"),
    (0.14, 0.174, 0.121, -0.010, "trousers"),
    (0.22, 0.169, 0.119, -0.007, "trousers"),
    (0.295, 0.160, 0.115, -0.002, "belt"),
    (0.335, 0.161, 0.116, 0.00, "shirt"),
    (0.41, 0.157, 0.112, 0.004, "shirt"),
    (0.52, 0.160, 0.113, 0.006, "shirt"),
    (0.64, 0.174, 0.119, 0.006, "shirt"),
    (0.77, 0.188, 0.121, 0.002, "shirt"),
    (0.87, 0.192, 0.112, -0.006, "shirt"),
    (0.945, 0.184, 0.094, -0.012, "shirt"),
    (1.00, 0.164, 0.076, -0.014, "shirt"),
    (1.045, 0.132, 0.066, -0.014, "shirt"),
    (1.08, 0.092, 0.060, -0.010, "shirt"),
    (1.11, 0.058, 0.055, -0.004, "shirt"),
)


def slow_faces(at: Reader, clothes: Clothes) -> Faces:
    """Torso, legs and head: what hardly moves while a picture is open."""
    parts = [
        finer(finer(_torso(at, clothes))),
        _yoke(at, clothes),
        *_legs(at, clothes),
        *head(at, clothes),
    ]
    return joined(parts)


def quick_faces(at: Reader, swing: SwingParameters) -> Faces:
    """Club and ball."""
    return joined([*club(at, swing), ball(at["ball"], swing.around.ball_rgb)])


def _torso(at: Reader, clothes: Clothes) -> list[Ring]:
    """From the crotch to the neck, twisting from the pelvis's turn to the chest's."""
    scale = at.scale
    spine = at["spine_up"]
    # The pelvis leans half as far as the spine above it, so the seat is round.
    seat = unit_of(0.45 * spine + np.array([0.0, 0.0, 0.55]))
    low, high = at["pelvis"] - 0.07 * scale * seat, at["chest"]
    waist = at["pelvis"] + 0.11 * scale * seat
    shrug = 0.5 * (at["lead_shoulder"] + at["trail_shoulder"]) - high
    rings = []
    for share, half_width, half_depth, push, colour in _TORSO:
        twist = float(np.clip((share - 0.15) / 0.65, 0.0, 1.0))
        twist = twist * twist * (3.0 - 2.0 * twist)
        up = unit_of((1.0 - twist) * seat + twist * spine)
        mixed = (1.0 - twist) * at["pelvis_side"] + twist * at["chest_side"]
        side = square_to(mixed, up)
        ahead = cross_of(side, up)
        rest = 1.0 - share
        bow = rest * rest * low + 2.0 * rest * share * waist + share * share * high
        middle = bow + push * scale * ahead + twist * share * shrug
        thick = scale * (1.0 + (at.girth - 1.0) * float(np.sin(np.pi * np.clip(share, 0.0, 1.0))))
        rings.append(
            Ring(
                middle,
                half_width * thick * side,
                half_depth * thick * ahead,
                getattr(clothes, colour),
            )
        )
    if clothes.loose is not None:
        return jacket(rings, [share for share, *_ in _TORSO], at, clothes.loose)
    return rings


def _yoke(at: Reader, clothes: Clothes) -> list[Ring]:
    """The shirt from shoulder to shoulder, so that a raised arm stays joined to the chest."""
    lead, trail = at["lead_shoulder"], at["trail_shoulder"]
    low = -0.012 * at.scale * at["spine_up"]
    points = [
        between(trail, lead, share) + low for share in (-0.06, 0.06, 0.3, 0.5, 0.7, 0.94, 1.06)
    ]
    radii = [(0.03, 0.03), (0.057, 0.057), (0.055, 0.060), (0.048, 0.056), (0.055, 0.060)]
    radii += [(0.057, 0.057), (0.03, 0.03)]
    loose = clothes.loose
    colour, wider = (clothes.shirt, 0.0) if loose is None else (loose.jacket, 0.3 * loose.jacket_m)
    radii = [(wide + wider, deep + wider) for wide, deep in radii]
    return tube(points, radii, [colour] * 7, at["spine_up"], at.scale)


def _legs(at: Reader, clothes: Clothes) -> list[list[Ring]]:
    parts = []
    for leg in ("lead", "trail"):
        hip, knee, ankle = at[f"{leg}_hip"], at[f"{leg}_knee"], at[f"{leg}_ankle"]
        toe, heel = at[f"{leg}_toe"], at[f"{leg}_heel"]
        shank = unit_of(ankle - knee)
        points = [
            between(hip, knee, 0.00), between(hip, knee, 0.09), between(hip, knee, 0.30),
            between(hip, knee, 0.60), between(hip, knee, 0.86), knee,
            between(knee, ankle, 0.14), between(knee, ankle, 0.35), between(knee, ankle, 0.65),
            between(knee, ankle, 0.93), ankle + 0.035 * at.scale * shank,
        ]  # fmt: skip
        radii = [
            (0.058, 0.070), (0.082, 0.094), (0.089, 0.098), (0.077, 0.082), (0.068, 0.071),
            (0.066, 0.070), (0.063, 0.067), (0.062, 0.068), (0.056, 0.060), (0.053, 0.058),
            (0.050, 0.056),
        ]  # fmt: skip
        ahead = unit_of(toe - heel)
        front = unit_of(knee - 0.5 * (hip + ankle) + 0.02 * ahead)
        colours = [clothes.trousers] * len(points)
        rings = tube(points, radii, colours, front, at.scale * at.girth**0.5)
        if clothes.loose is not None:
            rings = trouser_leg(rings, int(leg == "trail"), at, clothes.loose)
        parts.append(finer(rings))
        parts.append(_shoe(at, leg, clothes))
    return parts


def _shoe(at: Reader, leg: str, clothes: Clothes) -> list[Ring]:
    """Heel to toe, flat below; the toe part stays on the ground while the heel rises."""
    toe, heel = at[f"{leg}_toe"], at[f"{leg}_heel"]
    scale = at.scale
    flat = unit_of((toe - heel) * np.array([1.0, 1.0, 0.0]))
    side = cross_of(flat, np.array([0.0, 0.0, 1.0]))
    pivot = toe - 0.071 * scale * flat
    sole = unit_of(pivot - heel)
    up = cross_of(side, sole)
    vertical = np.array([0.0, 0.0, 1.0])
    outline = [
        (heel + 0.040 * scale * up, 0.026, 0.030, up), (heel + 0.046 * scale * up
         + 0.03 * scale * sole, 0.040, 0.046, up),
        (between(heel, pivot, 0.42) + 0.044 * scale * up, 0.041, 0.044, up),
        (between(heel, pivot, 0.75) + 0.034 * scale * up, 0.047, 0.034, up),
        (pivot + 0.027 * scale * unit_of(up + vertical), 0.050, 0.027, unit_of(up + vertical)),
        (pivot + 0.045 * scale * flat + 0.022 * scale * vertical, 0.044, 0.022, vertical),
        (toe + 0.012 * scale * flat + 0.016 * scale * vertical, 0.022, 0.014, vertical),
    ]  # fmt: skip
    return [
        Ring(middle, wide * scale * side, tall * scale * normal, clothes.shoes)
        for middle, wide, tall, normal in outline
    ]


def arms(at: Reader, clothes: Clothes) -> list[list[Ring]]:
    """Sleeves, arms, hands with the glove on the lead one."""
    parts = []
    for arm in ("lead", "trail"):
        shoulder, elbow = at[f"{arm}_shoulder"], at[f"{arm}_elbow"]
        wrist, hand = at[f"{arm}_wrist"], at[f"{arm}_hand"]
        points = [between(shoulder, elbow, share) for share in (
            -0.20, -0.17, -0.10, 0.00, 0.14, 0.30, 0.46, 0.58, 0.581, 0.75, 0.90, 1.0,
        )]  # fmt: skip
        points += [between(elbow, wrist, share) for share in (0.15, 0.40, 0.65, 0.85, 1.0, 1.07)]
        radii = [
            (0.012, 0.012), (0.034, 0.034), (0.050, 0.050), (0.059, 0.060), (0.061, 0.061),
            (0.059, 0.060), (0.057, 0.059), (0.056, 0.058), (0.042, 0.044), (0.040, 0.043),
            (0.038, 0.041), (0.039, 0.041), (0.042, 0.044), (0.040, 0.042), (0.034, 0.036),
            (0.029, 0.031), (0.027, 0.030), (0.016, 0.018),
        ]  # fmt: skip
        colours = [clothes.shirt] * 8 + [clothes.skin] * 10
        bend_side = unit_of(elbow - 0.5 * (shoulder + wrist) + 1e-3 * at["spine_up"])
        rings = tube(points, radii, colours, bend_side, at.scale * at.girth**0.5)
        if clothes.loose is not None:
            rings = sleeve(rings, int(arm == "trail"), at, clothes.loose)
        parts.append(finer(rings))
        cover = clothes.glove if arm == "lead" else clothes.skin
        shaft = unit_of(at["club_hosel"] - at["club_butt"])
        palm = [
            between(wrist, hand, -0.30), between(wrist, hand, 0.0), between(wrist, hand, 0.35),
            between(wrist, hand, 0.7), between(wrist, hand, 1.05), between(wrist, hand, 1.26),
        ]  # fmt: skip
        girth = [(0.022, 0.024), (0.027, 0.031), (0.028, 0.038), (0.030, 0.042), (0.028, 0.042),
                 (0.014, 0.028)]  # fmt: skip
        parts.append(tube(palm, girth, [cover] * 6, shaft, at.scale))
        # Fingers closed round the grip.
        fist = [hand + along * at.scale * shaft for along in (-0.043, -0.037, -0.02, 0.02, 0.037,
                                                              0.043)]  # fmt: skip
        round_m = [(r, r) for r in (0.014, 0.024, 0.029, 0.028, 0.023, 0.014)]
        parts.append(tube(fist, round_m, [cover] * 6, unit_of(wrist - hand), at.scale))
    return parts
