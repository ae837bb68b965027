"""Half seconds of the rendered mat, from both cameras: balls struck, and all that only looks so.

Everybody and everything is drawn by the sample sessions; only who does what when is said here.
Scene time 0 is the strike, or the sound that must not be taken for one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction

import cv2
import numpy as np

from capturestation.capture.eye import LOOK_NS, worth_looking
from capturestation.records import FloatArray, FrameArray, Hand, IntArray, SwingKind, View
from sample_sessions.cameras import Camera, Placement, cameras_for
from sample_sessions.clubs import BALL_RADIUS_M
from sample_sessions.golfer import Golfer, Pose
from sample_sessions.people import part_swing, pitching, somebody
from sample_sessions.render import Renderer
from sample_sessions.surroundings import QUIET_BAY, Surroundings

_BEFORE_S, _AFTER_S = 0.30, 0.26
_MOST_LATE_S = 0.045
# Phones and webcams bring their pictures 10-60 ms late.
_SET_S = -3.0
_STILL_S = -6.0
_DECAY_M_S2 = 0.6
# A mat's roll.
BALLS_RGB = ((250, 250, 248), (250, 250, 248), (236, 240, 90), (250, 140, 60), (240, 120, 170))


class Kind(StrEnum):
    """What the mat shows."""

    STRUCK = "struck"
    AT_REST = "ball at rest"
    WAGGLE = "waggle over it"
    REHEARSAL = "rehearsal beside it"
    MOVED = "ball placed or rolled away by hand or club"
    CROSSING = "golfer crossing"
    LIGHT = "light change"
    SPARE = "spare balls"


NOT_STRUCK = tuple(kind for kind in Kind if kind is not Kind.STRUCK)


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """How the cameras of one day stand.

    Args:
        seed: Decides their places.
        hand: On which side the golfer stands.
        size_share: Of 1280 x 720.
    """

    seed: int
    hand: Hand = Hand.RIGHT
    size_share: float = 0.5

    def cameras(self) -> tuple[Camera, Camera]:
        """Face-on and down the line, a little off their usual places."""
        face_on, along = (
            camera.placed(self._placement(camera)) for camera in cameras_for(self.hand)
        )
        return face_on, along

    def _placement(self, camera: Camera) -> Placement:
        rng = np.random.default_rng((self.seed, len(camera.name)))
        return Placement(
            shift_m=tuple(rng.uniform(-0.15, 0.15, 3)),
            aim_shift_m=tuple(rng.uniform(-0.06, 0.06, 3)),
            roll_deg=float(rng.uniform(-1.5, 1.5)),
            size_share=self.size_share,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Filmed:
    """One view of a scene.

    Args:
        view: Which.
        late_ns: How much later than the sound its pictures come.
        times_ns: (n,) scene time, only of pictures that are looked at.
        greys: (n, h, w).
        still: The mat some seconds before, (h, w).
    """

    view: View
    late_ns: int
    times_ns: IntArray
    greys: FrameArray
    still: FrameArray


@dataclass(frozen=True, slots=True)
class _Move:
    """What a staged golfer does with club and ball.

    Args:
        ball: Its way, seconds (n,) to metres (n, 3).
        head_m: Where the club's face is away from rest: along x and up, (n,) to (n, 2).
    """

    ball: Callable[[FloatArray], FloatArray]
    head_m: Callable[[FloatArray], FloatArray]


class Staged(Golfer):
    """Stands at set and does something else with club and ball than to swing."""

    def __init__(self, golfer: Golfer, move: _Move) -> None:
        self._move: _Move | None = None
        super().__init__(golfer.swing)
        self._move = move

    def _right_handed(self, time_s: FloatArray) -> Pose:
        if self._move is None:
            return super()._right_handed(time_s)
        pose = super()._right_handed(np.full_like(time_s, _SET_S))
        away = self._move.head_m(time_s)
        hands = pose.lead_hand
        long_m = float(np.linalg.norm(pose.club_face[0] - hands[0]))
        angle = np.arcsin(np.clip(away[:, 0] / long_m, -0.9, 0.9))
        lift = np.stack([np.zeros(len(angle)), np.zeros(len(angle)), away[:, 1]], axis=1)

        def swung(points: FloatArray) -> FloatArray:
            off = points - hands
            cos, sin = np.cos(angle), np.sin(angle)
            x = cos * off[:, 0] - sin * off[:, 2]
            z = sin * off[:, 0] + cos * off[:, 2]
            return np.asarray(hands + np.stack([x, off[:, 1], z], axis=1) + lift)

        return replace(
            pose,
            club_butt=swung(pose.club_butt),
            club_face=swung(pose.club_face),
            club_hosel=swung(pose.club_hosel),
            ball=self._move.ball(time_s),
        )


@dataclass(frozen=True, slots=True)
class _Scene:
    """Who is filmed, from which second of his own clock, forwards or backwards, in which light."""

    golfer: Golfer
    at_s: float
    backwards: bool = False
    light: Callable[[FloatArray], FloatArray] = field(default=lambda t: np.ones_like(t))


def film(
    kind: Kind, seed: int, station: Station, rate_hz: Fraction = Fraction(60)
) -> tuple[Filmed, Filmed]:
    """Film one scene.

    Args:
        kind: What it shows.
        seed: Decides golfer, ball, who does what when.
        station: The cameras.
        rate_hz: Frames a second.
    """
    rng = np.random.default_rng((seed, list(Kind).index(kind)))
    scene = _SCENES[kind](rng, seed, station.hand)
    face_on, along = (_filmed(scene, camera, rate_hz, rng) for camera in station.cameras())
    return face_on, along


def _filmed(scene: _Scene, camera: Camera, rate_hz: Fraction, rng: np.random.Generator) -> Filmed:
    rows_s = float(rng.choice([0.0, 0.0, 0.008]))
    camera = replace(camera, read_out_s=rows_s, exposure_s=float(rng.uniform(0.0005, 0.002)))
    renderer = Renderer(scene.golfer, camera)
    step_s = 1.0 / float(rate_hz)
    times_s = np.arange(-_BEFORE_S + rng.uniform(0, step_s), _AFTER_S, step_s)
    late_ns = round(1e9 * rng.uniform(0, _MOST_LATE_S))
    times_s = times_s[_looked_at(np.rint(times_s * 1e9).astype(np.int64) + late_ns)]
    gains = scene.light(times_s)
    way = -1.0 if scene.backwards else 1.0
    greys = np.stack([
        _grey(renderer.frame(scene.at_s + way * t, number=n), float(gain))
        for n, (t, gain) in enumerate(zip(times_s.tolist(), gains.tolist(), strict=True))
    ])  # fmt: skip
    # The ball's rows lie low in the picture: their stamp is what the frame's time means.
    stamps_ns = np.rint((times_s + 0.9 * rows_s) * 1e9).astype(np.int64)
    early = scene.at_s + way * times_s[0] if scene.backwards else min(scene.at_s, 0.0) + _SET_S
    still = _grey(renderer.frame(float(early)), float(gains[0]))
    return Filmed(view=camera.view, late_ns=late_ns, times_ns=stamps_ns, greys=greys, still=still)


def _looked_at(came_ns: IntArray) -> IntArray:
    """Those of all pictures that a station looks at round time 0."""
    inside = np.flatnonzero(np.abs(came_ns) <= LOOK_NS)
    return np.asarray(inside[worth_looking(came_ns[inside], 0)], np.int64)


def _grey(frame_rgb: FrameArray, gain: float) -> FrameArray:
    grey: FrameArray = cv2.cvtColor(frame_rgb, cv2.COLOR_RGB2GRAY).astype(np.uint8)
    return grey if gain == 1.0 else cv2.convertScaleAbs(grey, alpha=gain).astype(np.uint8)


def _somebody(
    rng: np.random.Generator, seed: int, hand: Hand, around: Surroundings = QUIET_BAY
) -> Golfer:
    swing = somebody(seed, hand=hand)
    ball = BALLS_RGB[int(rng.integers(len(BALLS_RGB)))]
    noise = float(rng.uniform(0.8, 2.5))
    return Golfer(replace(swing, around=replace(around, ball_rgb=ball, noise_levels=noise)))


def _spares(rng: np.random.Generator, count: int) -> tuple[tuple[float, ...], ...]:
    """Balls about the mat, none in the club's way."""
    sides = np.where(rng.uniform(size=count) < 0.5, -1.0, 1.0)
    across = np.where(sides > 0, rng.uniform(0.16, 0.25, count), rng.uniform(-0.5, -0.2, count))
    return tuple((float(x), float(y)) for x, y in zip(
        rng.uniform(-0.6, 0.6, count), across, strict=True))  # fmt: skip


def _struck(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    walks = rng.uniform() < 0.1
    around = Surroundings(
        spare_balls_m=_spares(rng, 3) if rng.uniform() < 0.3 else (),
        flicker=float(rng.uniform(0.02, 0.12)) if rng.uniform() < 0.3 else 0.0,
        passes_s=float(rng.uniform(-0.3, 0.3)) if walks else None,
    )
    golfer = _somebody(rng, seed, hand, around)
    swing = golfer.swing
    kind = rng.uniform()
    if kind < 0.2:
        swing = pitching(swing)
    elif kind < 0.4:
        swing = part_swing(swing)
    return _Scene(Golfer(swing), 0.0)


def _at_rest(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    golfer = _somebody(rng, seed, hand)
    # At set, going back, and nearly down again: the ball lies there in each.
    return _Scene(golfer, float(rng.choice([-2.0, -1.0, -0.45])) + float(rng.uniform(-0.1, 0.1)))


def _waggle(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    golfer = _somebody(rng, seed, hand)
    hz, phase = rng.uniform(0.8, 1.8), rng.uniform(0, 2 * np.pi)
    reach, lift = rng.uniform(0.08, 0.22), rng.uniform(0.045, 0.08)
    shift = rng.uniform(-0.05, 0.10)

    def head_m(t: FloatArray) -> FloatArray:
        swing = np.sin(2 * np.pi * hz * t + phase)
        away = shift + reach * swing
        return np.stack([away, np.where(away > -0.05, lift, lift * (0.5 + 0.5 * swing))], axis=1)

    return _Scene(Staged(golfer, _Move(_stays(golfer), head_m)), 0.0)


def _rehearsal(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    golfer = _somebody(rng, seed, hand)
    rehearses = Golfer(replace(golfer.swing, kind=SwingKind.REHEARSAL))
    return _Scene(rehearses, float(rng.uniform(-0.12, 0.12)))


def _moved(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    golfer = _somebody(rng, seed, hand)
    backwards = bool(rng.uniform() < 0.5)
    # The film of a ball set down, run backwards, shows it taken away.
    when_s = float(rng.uniform(-0.35, 0.35))
    if seed % 2 == 0:
        around = replace(golfer.swing.around, re_tee_s=6.0)
        return _Scene(Golfer(replace(golfer.swing, around=around)), 6.0 + when_s, backwards)
    speed, angle = rng.uniform(0.3, 1.6), rng.uniform(-0.5, 0.5)

    def gone_m(t: FloatArray) -> FloatArray:
        since = np.clip(t - when_s, 0.0, speed / _DECAY_M_S2)
        return np.asarray(speed * since - 0.5 * _DECAY_M_S2 * since**2, dtype=np.float64)

    def ball(t: FloatArray) -> FloatArray:
        gone = gone_m(t)
        at = np.stack([gone * np.cos(angle), gone * np.sin(angle), np.zeros(len(t))], axis=1)
        return np.asarray(golfer.ball_at + at)

    def head_m(t: FloatArray) -> FloatArray:
        # Pushes for a hand's breadth, then stays behind.
        pushed = np.minimum(gone_m(t), 0.12) + np.clip(t - when_s, -0.2, 0.0) * speed
        return np.stack([pushed, np.zeros(len(t))], axis=1)

    return _Scene(Staged(golfer, _Move(ball, head_m)), 0.0, backwards)


def _crossing(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    y_m = float(rng.choice([rng.uniform(-1.8, -0.4), rng.uniform(1.7, 2.2)]))
    around = Surroundings(
        passes_s=_SET_S + float(rng.uniform(-0.3, 0.3)),
        passes_y_m=y_m,
        passes_m_s=float(rng.choice([-1.0, 1.0]) * rng.uniform(0.9, 1.8)),
    )
    return _Scene(_somebody(rng, seed, hand, around), _SET_S)


def _light(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    flicker = float(rng.uniform(0.0, 0.15))
    golfer = _somebody(rng, seed, hand, Surroundings(flicker=flicker))
    to, late_s, long_s = (
        rng.uniform(0.5, 1.5),
        rng.uniform(-0.1, 0.1),
        rng.choice([0.001, 0.03, 0.2]),
    )

    def light(t: FloatArray) -> FloatArray:
        share = np.clip((t - late_s) / long_s + 0.5, 0.0, 1.0)
        return np.asarray(1.0 + share * (to - 1.0), dtype=np.float64)

    return _Scene(golfer, float(rng.choice([-2.0, -0.9])), light=light)


def _spare(rng: np.random.Generator, seed: int, hand: Hand) -> _Scene:
    golfer = _somebody(rng, seed, hand)
    spares = _spares(rng, int(rng.integers(2, 6)))
    if seed % 2 == 0:
        around = replace(golfer.swing.around, spare_balls_m=spares)
        at_s = float(rng.choice([-2.0, -0.9, -0.45]))
        return _Scene(Golfer(replace(golfer.swing, around=around)), at_s)
    # One of them rolls, while ours lies where it should.
    around = replace(golfer.swing.around, spare_balls_m=((0.0, 0.0), *spares))
    golfer = Golfer(replace(golfer.swing, around=around))
    start = np.array([rng.uniform(-0.6, 0.2), rng.uniform(-0.45, -0.12), BALL_RADIUS_M])
    velocity = np.array([rng.uniform(0.2, 1.8), rng.uniform(-0.3, 0.3), 0.0])
    since_s = float(rng.choice([-1.0, 0.0])) + float(rng.uniform(-0.15, 0.15))

    def ball(t: FloatArray) -> FloatArray:
        return np.asarray(start + np.maximum(t - since_s, 0.0)[:, None] * velocity)

    def head_m(t: FloatArray) -> FloatArray:
        return np.zeros((len(t), 2))

    return _Scene(Staged(golfer, _Move(ball, head_m)), 0.0)


def _stays(golfer: Golfer) -> Callable[[FloatArray], FloatArray]:
    def ball(t: FloatArray) -> FloatArray:
        return np.tile(golfer.ball_at, (len(t), 1))

    return ball


_SCENES: dict[Kind, Callable[[np.random.Generator, int, Hand], _Scene]] = {
    Kind.STRUCK: _struck,
    Kind.AT_REST: _at_rest,
    Kind.WAGGLE: _waggle,
    Kind.REHEARSAL: _rehearsal,
    Kind.MOVED: _moved,
    Kind.CROSSING: _crossing,
    Kind.LIGHT: _light,
    Kind.SPARE: _spare,
}
