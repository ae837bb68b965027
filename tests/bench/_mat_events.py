"""What a station hears and sees, event by event: balls struck, and all that is none."""

from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import cv2
import numpy as np
from numpy.typing import NDArray

from capturestation.records import NS_PER_S, FloatArray, FrameArray, SoundArray
from capturestation.records.capture import Look
from tests.bench._strikes import SECONDS, struck
from tests.bench._transients import Transient, transients
from tests.helpers.filmed_mats import Scene
from tests.helpers.mat_scenes import NOT_STRUCK, Filmed, Kind, Station
from tests.helpers.real_sounds import RATE_HZ

TRUE = 200
NEIGHBOURS = 70
LEVELS_DB = (-12.0, 0.0, 6.0)
"""Of a transient's peak over a strike's."""
AT_S = 0.65
SNR_DB = (12.0, 35.0)
_STRIKE_PEAK = 0.45


class Heard(StrEnum):
    """What sounds."""

    OURS = "our strike"
    TRANSIENT = "another sound"
    NEIGHBOUR = "a neighbour's strike"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """What a run is made of; settings are chosen on one and judged on another.

    Args:
        stations: How the cameras stand.
        first_scene: Scenes are numbered from there.
        struck_each: Different strikes for each station.
        other_each: Different scenes of each other kind for each station.
        seed: Decides all else.
        rooms: Recordings that strikes are mixed into.
        sounds: Recordings that other sounds are cut from.
    """

    stations: tuple[Station, ...]
    first_scene: int
    struck_each: int
    other_each: int
    seed: int
    rooms: tuple[str, ...]
    sounds: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One of them.

    Args:
        heard: What sounds.
        shown: What the mat shows.
        scene: Its number among the scenes of that kind.
        seed: Decides all that differs.
        level_db: How loud a transient is.
        place: Number of the sound.
    """

    heard: Heard
    shown: Kind
    scene: int
    seed: int
    level_db: float = 0.0
    place: int = 0


def scenes(choice: Choice) -> list[Scene]:
    """The different scenes of a run, by stations."""
    found: list[Scene] = []
    for number, station in enumerate(choice.stations):
        for kind in Kind:
            count = choice.struck_each if kind is Kind.STRUCK else choice.other_each
            first = choice.first_scene + number * count
            found += [(kind, first + n, station) for n in range(count)]
    return found


def events(choice: Choice, counts: dict[Kind, int]) -> list[Event]:
    """All events in a shuffled order; each kind of scene comes equally often among the false."""
    seed = choice.seed
    rng = np.random.default_rng(seed)
    found = [
        Event(heard=Heard.OURS, shown=Kind.STRUCK, scene=n, seed=seed + n, place=n)
        for n in range(TRUE)
    ]
    count = len(transients(choice.sounds))
    found += [_false(n, count, seed + TRUE + n) for n in range(count + NEIGHBOURS)]
    order = rng.permutation(len(found))
    return [_fitted(found[n], counts) for n in order]


def _false(number: int, transient_count: int, seed: int) -> Event:
    """One that is no ball of ours: scenes by turns, and for each of them the levels by turns."""
    turn = number // len(NOT_STRUCK)
    is_transient = number < transient_count
    return Event(
        heard=Heard.TRANSIENT if is_transient else Heard.NEIGHBOUR,
        shown=NOT_STRUCK[number % len(NOT_STRUCK)],
        scene=turn,
        seed=seed,
        level_db=LEVELS_DB[turn % len(LEVELS_DB)],
        place=number if is_transient else TRUE + number - transient_count,
    )


def _fitted(event: Event, counts: dict[Kind, int]) -> Event:
    return Event(
        heard=event.heard, shown=event.shown, scene=event.scene % counts[event.shown],
        seed=event.seed, level_db=event.level_db, place=event.place,
    )  # fmt: skip


class Sounds:
    """What is heard in a run."""

    def __init__(self, choice: Choice) -> None:
        self._others = transients(choice.sounds)
        # Ours and, behind them, the neighbours'.
        self._struck = list(struck(choice.seed, TRUE + NEIGHBOURS, SNR_DB, choice.rooms))
        self._rooms = _rooms(choice.seed)

    def of(self, event: Event) -> tuple[SoundArray, float]:
        """What is heard, (n,), and when it begins."""
        if event.heard is not Heard.TRANSIENT:
            scene = self._struck[event.place]
            return scene.samples, scene.arrival_s
        return _placed(self._others[event.place], event.level_db, next(self._rooms)), AT_S


def _placed(one: Transient, level_db: float, room: SoundArray) -> SoundArray:
    sound: FloatArray = room.astype(np.float64)
    first = round((AT_S - 0.02) * RATE_HZ)
    gain = _STRIKE_PEAK * 10 ** (level_db / 20)
    stop = min(first + len(one.samples), len(sound))
    sound[first:stop] += gain * one.samples[: stop - first]
    # What is louder than a microphone takes is cut.
    return np.clip(sound, -1, 1).astype(np.float32)


def _rooms(seed: int) -> Iterator[SoundArray]:
    """A quiet room's sound, over and over another."""
    rng = np.random.default_rng(seed)
    size = round(SECONDS * RATE_HZ)
    while True:
        yield rng.normal(0, 10 ** rng.uniform(-3.5, -2.3), size).astype(np.float32)


def looks_of(event: Event, pair: tuple[Filmed, Filmed], at_ns: int) -> list[Look]:
    """What both cameras sent round that time: noisy, coded, late, and mirrored in some bays.

    Args:
        event: Its seed decides how.
        pair: The scene.
        at_ns: Host time of the scene's zero.
    """
    rng = np.random.default_rng(event.seed)
    mirrored = bool(rng.uniform() < 0.5)
    return [
        Look(
            view=one.view,
            host_ns=one.times_ns + at_ns + one.late_ns,
            greys=_sent(one.greys, rng, mirrored),
        )
        for one in pair
    ]


def stills_of(event: Event, pair: tuple[Filmed, Filmed], at_ns: int) -> list[Look]:
    """What both cameras showed some seconds before."""
    rng = np.random.default_rng(event.seed)
    mirrored = bool(rng.uniform() < 0.5)
    when_ns = np.array([at_ns - 3 * NS_PER_S], np.int64)
    return [
        Look(view=one.view, host_ns=when_ns, greys=_sent(one.still[np.newaxis], rng, mirrored))
        for one in pair
    ]


@functools.cache
def _noise(shape: tuple[int, int]) -> NDArray[np.float32]:
    """A sensor's, of one grey step; each picture sees another part of it."""
    return np.random.default_rng(1).normal(size=shape).astype(np.float32)


def _sent(greys: FrameArray, rng: np.random.Generator, mirrored: bool) -> FrameArray:
    gain, grain = rng.uniform(0.6, 1.15), rng.uniform(0.5, 3.0)
    quality = int(rng.integers(60, 95))
    noise = np.float32(grain) * _noise((greys.shape[1] + 64, greys.shape[2] + 64))
    sent = []
    for grey in greys:
        top, left = rng.integers(0, 64, 2)
        noisy = gain * grey + noise[top : top + grey.shape[0], left : left + grey.shape[1]]
        _, data = cv2.imencode(
            ".jpg", np.clip(noisy, 0, 255).astype(np.uint8), [cv2.IMWRITE_JPEG_QUALITY, quality]
        )
        shown = cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)
        assert shown is not None
        sent.append(shown[:, ::-1] if mirrored else shown)
    return np.ascontiguousarray(np.stack(sent).astype(np.uint8))
