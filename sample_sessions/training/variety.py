"""Draws what differs from one training picture to the next, each by its seed.

Owns the ranges: golfer, camera, clothes, club, light, rate. Refuses to draw pixels. The ranges are
wider than what a bay shows, so that what is met later lies inside them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from capturestation.records import FloatArray, Hand, SwingKind
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.clothes import Clothes
from sample_sessions.clubs import CLUBS
from sample_sessions.parameters import Departures, SwingParameters
from sample_sessions.people import part_swing, pitching, somebody
from sample_sessions.rings import Colour
from sample_sessions.surroundings import Surroundings

PICTURE_PX = 288
# Side of the square that is drawn; learning cuts 256 x 256 out of it, turned and scaled.
FRAMES = 5
# Pictures in a row; any one with its two neighbours is an example.
_SIDE_SHARE = (1.45, 2.15)
# The square's side over the golfer's height: from a square that cuts the club off to a wide one.
_STEPS_S = (1 / 120, 1 / 60, 1 / 30)
_STEP_ODDS = (0.50, 0.35, 0.15)
_EXPOSURE_S = (1 / 2500, 1 / 150)
# When a picture is taken: share of the swing's parts, each from one time to another.
_PART_ODDS = (0.06, 0.30, 0.30, 0.26, 0.08)


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubLook:
    """What the club looks like, whatever it is.

    Args:
        grip: Colour of the grip.
        shaft: Colours along the shaft, six of them; a glint is a bright one.
        head: Colour of the head.
        thick: Thickness against the usual.
        turned_deg: The club is turned in the hands by this about the bay's axes, so that no habit
            of the invented golfers' wrists is learnt.
    """

    grip: Colour
    shaft: tuple[Colour, ...]
    head: Colour
    thick: float
    turned_deg: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Everything that decides some pictures in a row of one swing.

    Args:
        swing: Who swings how, and what goes on around.
        camera: The camera of the square.
        clothes: What he wears.
        club: What the club looks like.
        plain_bay: Whether it is the invented bay that stands behind; else made-up ground and walls.
        step_s: From one picture to the next.
        grey_weights: How red, green and blue make grey.
        seed: Of ground, glare and noise.
    """

    swing: SwingParameters
    camera: Camera
    clothes: Clothes
    club: ClubLook
    plain_bay: bool
    step_s: float
    grey_weights: tuple[float, float, float]
    seed: int


def setting(seed: int) -> Setting:
    """Draw one.

    Example:
        >>> setting(3) == setting(3)
        True
    """
    random = np.random.default_rng((20261130, seed))
    swing = _swing(seed, random)
    step_s = float(random.choice(_STEPS_S, p=_STEP_ODDS))
    weights = random.dirichlet((6.0, 12.0, 3.0))
    return Setting(
        swing=swing,
        camera=_camera(swing, step_s, random),
        clothes=_clothes(random),
        club=_club_look(random),
        plain_bay=bool(random.uniform() < 0.4),
        step_s=step_s,
        grey_weights=(float(weights[0]), float(weights[1]), float(weights[2])),
        seed=seed,
    )


def times_s(setting: Setting, count: int) -> FloatArray:
    """When the middle pictures of the rows are taken, shape (count,)."""
    random = np.random.default_rng((setting.seed, count))
    swing = setting.swing
    top_s, start_s = -swing.downswing_s, -swing.downswing_s - swing.backswing_s
    edges = (start_s - 0.4, start_s, top_s, 0.0, 0.6 * swing.finish_s, 1.3 * swing.finish_s)
    part = random.choice(len(_PART_ODDS), size=count, p=_PART_ODDS)
    low, high = np.array(edges)[part], np.array(edges)[part + 1]
    return np.asarray(low + (high - low) * random.uniform(size=count), dtype=np.float64)


def _swing(seed: int, random: np.random.Generator) -> SwingParameters:
    swing = somebody(seed)
    swing = replace(
        swing,
        hand=Hand.LEFT if random.uniform() < 0.35 else Hand.RIGHT,
        club_name=list(CLUBS)[int(random.integers(len(CLUBS)))],
        around=_around(random),
        departures=Departures(
            pelvis_late_deg=float(random.choice((0.0, 12.0))),
            slide_m=float(random.choice((0.0, 0.06))),
            off_plane_deg=float(random.uniform(-9.0, 9.0)),
            stand_up_deg=float(random.choice((0.0, 6.0))),
        ),
    )
    kind = random.uniform()
    if kind < 0.14:
        return pitching(swing)
    if kind < 0.26:
        return part_swing(swing)
    return replace(swing, kind=SwingKind.REHEARSAL) if kind < 0.34 else swing


def _around(random: np.random.Generator) -> Surroundings:
    balls = tuple(
        (float(x), float(y)) for x, y in random.uniform(-1.2, 1.2, (random.integers(4), 2))
    )
    passes = random.uniform() < 0.35
    return Surroundings(
        spare_balls_m=balls,
        second_stick=bool(random.uniform() < 0.5),
        passes_s=float(random.uniform(-1.2, 0.6)) if passes else None,
        passes_y_m=float(random.choice((1.2, 1.6, 2.0, -1.4))),
        passes_m_s=float(random.choice((-1.3, -0.4, 0.1, 0.5, 1.3))),
        ball_rgb=(250, 250, 248) if random.uniform() < 0.7 else (230, 220, 60),
    )


def _camera(swing: SwingParameters, step_s: float, random: np.random.Generator) -> Camera:
    """One of the two views, off its place, of a square part of its picture."""
    usual = cameras_for(swing.hand)[int(random.integers(2))]
    camera = usual.placed(
        Placement(
            shift_m=tuple(float(v) for v in random.uniform(-1.0, 1.0, 3) * (0.5, 0.5, 0.35)),
            aim_shift_m=tuple(float(v) for v in random.uniform(-1.0, 1.0, 3) * (0.25, 0.25, 0.15)),
            roll_deg=float(random.uniform(-4.0, 4.0)),
        )
    )
    feet_head = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, swing.height_m]])
    stands = np.array([-0.05, 0.75 if swing.hand is Hand.RIGHT else -0.75, 0.0])
    feet, head = camera.project(feet_head + stands)
    tall_px = float(np.linalg.norm(head - feet))
    side_px = tall_px * float(random.uniform(*_SIDE_SHARE))
    by = PICTURE_PX / side_px
    middle = 0.5 * (feet + head) - (0.0, 0.10 * tall_px)
    middle = middle + random.uniform(-0.14, 0.14, 2) * side_px
    corner = middle - 0.5 * side_px
    cx, cy = (np.asarray(camera.lens.centre_px) - corner) * by
    lens = replace(
        camera.lens, width_px=PICTURE_PX, height_px=PICTURE_PX,
        focal_px=camera.lens.focal_px * by, centre_px=(float(cx), float(cy)),
    )  # fmt: skip
    low, high = np.log(_EXPOSURE_S)
    exposure_s = min(float(np.exp(random.uniform(low, high))), 0.8 * step_s)
    return replace(camera, lens=lens, exposure_s=exposure_s)


def _colour(random: np.random.Generator, low: int = 8, high: int = 250) -> Colour:
    """Any colour, more often a dull one than a bright one."""
    level = random.uniform(low, high)
    mixed = np.clip(level + random.normal(0.0, 30.0, 3), low, high)
    return int(mixed[0]), int(mixed[1]), int(mixed[2])


def _clothes(random: np.random.Generator) -> Clothes:
    tan = float(random.uniform(0.25, 1.05))
    skin = (int(222 * tan), int(174 * tan), int(142 * tan))
    return Clothes(
        shirt=_colour(random), trousers=_colour(random), belt=_colour(random),
        shoes=_colour(random), cap=_colour(random), skin=skin, hair=_colour(random, 8, 160),
        glove=_colour(random, 150) if random.uniform() < 0.6 else skin,
    )  # fmt: skip


def _club_look(random: np.random.Generator) -> ClubLook:
    usual = random.uniform() < 0.25
    shaft = (132, 136, 144) if usual else _colour(random)
    along = [shaft] * 6
    if random.uniform() < 0.25:
        along[int(random.integers(1, 6))] = (255, 255, 255)
    if random.uniform() < 0.3:
        along = [_shade(colour, float(random.uniform(0.6, 1.4))) for colour in along]
    spread = float(random.choice((0.0, 5.0, 16.0), p=(0.35, 0.35, 0.30)))
    turned = random.normal(0.0, 1.0, 3) * spread
    return ClubLook(
        grip=_colour(random, 8, 90) if random.uniform() < 0.8 else _colour(random),
        shaft=tuple(along),
        head=(196, 200, 206) if usual else _colour(random),
        thick=float(random.uniform(0.75, 1.5)),
        turned_deg=(float(turned[0]), float(turned[1]), float(turned[2])),
    )


def _shade(colour: Colour, by: float) -> Colour:
    red, green, blue = (int(min(by * level, 255.0)) for level in colour)
    return red, green, blue
