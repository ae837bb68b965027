"""How cameras, sound and disk are doing, as the recording process says, judged for a coach.

Owns what is well, what is to be looked at and what keeps balls from being kept. Words are the
window's; here are only kinds and numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from capturestation.capture.messages import Doing, Fact, SoundState, SourceDown, SourceUp
from capturestation.records import NS_PER_S, View
from capturestation.records.capture import (
    Got,
    Health,
    SourceHealth,
    SourceState,
    Windows,
)

SLOW_SHARE = 0.97
"""Of the rate that was asked: a share of frames that is missed without being felt."""
USUAL_BALLS_AN_HOUR = 60
"""A ball a minute, until this lesson says it better."""
LITTLE_H, HARDLY_ANY_H = 4.0, 0.5
"""Less than the rest of a day; less than the rest of a lesson."""
_PAST_NS = 20 * NS_PER_S
_MB_A_SECOND = 6.0
# Of a camera nothing is known of yet: 720p at 120 a second.


class Level(StrEnum):
    """How a thing stands; each has a shape and words of its own."""

    WELL = "well"
    LOOK = "look"
    BAD = "bad"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One thing that is watched.

    Args:
        what: Which, such as rate or disk.
        level: How it stands.
        values: What its words are filled with.
        said: What the process said itself, where it did: a sentence and what to try.
    """

    what: str
    level: Level
    values: dict[str, object] = field(default_factory=dict)
    said: tuple[str, str] = ("", "")


@dataclass(slots=True, kw_only=True)
class CameraStanding:
    """One camera.

    Args:
        view: Which.
        got: What it gives; None while it is not there.
        why: Why it is not there, and what to try.
        is_awaited: Whether nothing was said of it yet.
    """

    view: View
    got: Got | None = None
    why: tuple[str, str] = ("", "")
    is_awaited: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What still fits on the disk.

    Args:
        balls: So many.
        hours: At this lesson's pace.
        free_mb: The room itself.
    """

    balls: int
    hours: float
    free_mb: int


class Standing:
    """Takes what is said and answers what it means.

    Args:
        views: The cameras that are recorded from.
        windows: How much of each ball is kept.
    """

    def __init__(self, views: tuple[View, ...] = (), windows: Windows | None = None) -> None:
        self.cameras = {view: CameraStanding(view=view) for view in views}
        self.windows = windows or Windows()
        self.sound: SoundState | None = None
        self.health: Health | None = None
        self._missed: dict[View, tuple[int, int]] = {}
        # How many pictures of each were missing, and since when so many, host clock.

    def take(self, fact: Fact) -> bool:
        """Take up one fact; says whether it was about this."""
        match fact:
            case SourceUp():
                self._put(CameraStanding(view=fact.view, got=fact.got, is_awaited=False))
            case SourceDown():
                why = (fact.why, fact.try_next)
                self._put(CameraStanding(view=fact.view, why=why, is_awaited=False))
            case SoundState():
                self.sound = fact
            case Doing():
                self._measure(fact.health)
            case _:
                return False
        return True

    def _measure(self, health: Health) -> None:
        self.health = health
        for source in health.sources:
            known = self._missed.get(source.view, (0, 0))[0]
            if source.missing != known:
                self._missed[source.view] = (source.missing, health.at_host_ns)

    def _misses_now(self, view: View) -> bool:
        """Whether a picture went missing a moment ago; what is long past is told and no trouble."""
        if self.health is None or view not in self._missed:
            return False
        return self.health.at_host_ns - self._missed[view][1] < _PAST_NS

    def _put(self, camera: CameraStanding) -> None:
        self.cameras[camera.view] = camera

    def silence(self) -> None:
        """The process is gone: nothing that it said holds any more."""
        self.cameras = {view: CameraStanding(view=view) for view in self.cameras}
        self.sound = self.health = None

    @property
    def sends(self) -> bool:
        """Whether a picture comes from anywhere."""
        return any(camera.got is not None for camera in self.cameras.values())

    @property
    def all_send(self) -> bool:
        """Whether a picture comes from everywhere."""
        return bool(self.cameras) and all(one.got is not None for one in self.cameras.values())

    def room(self, balls_an_hour: float = USUAL_BALLS_AN_HOUR) -> Room | None:
        """What still fits on the disk; None before anything was said of it."""
        health = self.health
        if health is None:
            return None
        balls = health.balls_left
        if balls is None:
            balls = int(health.disk_free_mb / self._ball_mb(health))
        return Room(balls=balls, hours=balls / max(balls_an_hour, 1.0), free_mb=health.disk_free_mb)

    def _ball_mb(self, health: Health) -> float:
        """What a ball will take, by what the cameras send now."""
        long_s = (self.windows.before_ns + self.windows.after_ns) / NS_PER_S
        rates = [
            one.ring_mb / one.ring_s if one.ring_s > 0 else _MB_A_SECOND for one in health.sources
        ]
        return max(long_s * sum(rates), 0.1)

    def signs(self, balls_an_hour: float = USUAL_BALLS_AN_HOUR) -> tuple[Sign, ...]:
        """Everything that is watched, cameras first, the disk last."""
        found = [self._camera(camera) for camera in self.cameras.values()]
        health = self.health
        both = sum(camera.got is not None for camera in self.cameras.values()) > 1
        if both and health is not None and health.phase_ns is not None:
            apart: dict[str, object] = {"ms": f"{abs(health.phase_ns) / 1e6:.1f}"}
            found.append(Sign(what="apart", level=Level.WELL, values=apart))
        found.append(self._ear())
        room = self.room(balls_an_hour)
        if room is not None:
            found.append(_disk(room))
        return tuple(found)

    def _camera(self, camera: CameraStanding) -> Sign:
        view = str(camera.view)
        if camera.is_awaited:
            return Sign(what="awaited", level=Level.LOOK, values={"view": view})
        if camera.got is None:
            return Sign(what="gone", level=Level.BAD, values={"view": view}, said=camera.why)
        told = self._health_of(camera.view)
        if told is None or told.state is SourceState.DOWN:
            return Sign(what="comes", level=Level.WELL, values={"view": view})
        return _sending(told, camera.got, misses_now=self._misses_now(camera.view))

    def _health_of(self, view: View) -> SourceHealth | None:
        sources = self.health.sources if self.health is not None else ()
        return next((one for one in sources if one.view is view), None)

    def _ear(self) -> Sign:
        heard = self.health.sound if self.health is not None else None
        if self.sound is None or heard is None:
            return Sign(what="ear_awaited", level=Level.LOOK)
        if not self.sound.hears or heard.state is SourceState.DOWN:
            return Sign(what="deaf", level=Level.BAD)
        if heard.silent:
            return Sign(what="silent", level=Level.BAD)
        if heard.clipped:
            return Sign(what="clipped", level=Level.LOOK)
        return Sign(what="hears", level=Level.WELL)


def _sending(told: SourceHealth, got: Got, *, misses_now: bool) -> Sign:
    values: dict[str, object] = {
        "view": str(told.view),
        "rate": f"{told.rate_hz:.0f}",
        "asked": "" if told.asked_hz is None else f"{told.asked_hz:.0f}",
        "missing": told.missing,
        "seconds": f"{told.ring_s:.0f}",
    }
    is_slow = bool(told.asked_hz) and 0 < told.rate_hz < SLOW_SHARE * (told.asked_hz or 0.0)
    said = got.said[0] if got.said else ""
    ways = (
        (told.ring_full, "ring", Level.BAD, ""),
        (is_slow, "slow", Level.LOOK, ""),
        (bool(told.missing) and misses_now, "missing", Level.LOOK, ""),
        (bool(said), "other", Level.LOOK, said),
        (bool(got.loose_said), "loose", Level.LOOK, got.loose_said),
        (bool(told.missing), "missed", Level.WELL, ""),
        (True, "sends", Level.WELL, ""),
    )
    _, what, level, words = next(way for way in ways if way[0])
    return Sign(what=what, level=level, values=values, said=(words, ""))


def _disk(room: Room) -> Sign:
    level = Level.WELL
    if room.hours < LITTLE_H:
        level = Level.LOOK
    if room.hours < HARDLY_ANY_H:
        level = Level.BAD
    values: dict[str, object] = {"balls": room.balls, "hours": room.hours}
    return Sign(what="disk", level=level, values=values)
