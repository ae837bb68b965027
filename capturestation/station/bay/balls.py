"""The balls of this sitting: struck, seen again, kept, taken into the lesson, or lost.

Owns what has become of each, and what the coach said of one that is not in the lesson yet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from pathlib import Path

from capturestation.capture.messages import Fact, Kept, LookAt, LookReady, Lost, Struck
from capturestation.records import Swing, SwingId
from capturestation.records.capture import Trigger

_HOUR_S = 3600.0
_LEAST_BALLS = 5
# Before so many a pace says nothing.


class Stage(StrEnum):
    """What has become of a ball."""

    STRUCK = "struck"
    KEPT = "kept"
    TAKEN = "taken"
    LEFT = "left"
    LOST = "lost"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """One ball.

    Args:
        id: Its own; the swing's, once it is in the lesson.
        struck_at: When.
        stage: What has become of it.
        trigger: What had it kept.
        folder: In the inbox, once it is kept.
        looks: Its quick replay, once it is there.
        starred: Whether the coach starred it.
        rating: What the coach said of it; None for nothing.
        said: What there is to know of it: why it is lost or left, and what to try.
        is_stray: It was struck before this person was chosen; its ticket says whose it is.
    """

    id: str
    struck_at: datetime
    stage: Stage = Stage.STRUCK
    trigger: Trigger = Trigger.SOUND
    folder: Path | None = None
    looks: tuple[LookAt, ...] = ()
    starred: bool = False
    rating: int | None = None
    said: str = ""
    is_stray: bool = False

    @property
    def swing_id(self) -> SwingId | None:
        """Of the swing in the lesson; None while it isn't there."""
        return SwingId(self.id) if self.stage is Stage.TAKEN else None


class Balls:
    """All of them, oldest first."""

    def __init__(self) -> None:
        self._balls: dict[str, Ball] = {}

    @property
    def all(self) -> tuple[Ball, ...]:
        """This person's, in the order in which they were struck."""
        return tuple(ball for ball in self._balls.values() if not ball.is_stray)

    @property
    def last(self) -> Ball | None:
        """The newest that is not lost: what is looked at, starred and rated."""
        return next((b for b in reversed(self.all) if b.stage is not Stage.LOST), None)

    @property
    def kept(self) -> int:
        """How many are kept."""
        return sum(ball.stage in (Stage.KEPT, Stage.TAKEN, Stage.LEFT) for ball in self.all)

    @property
    def waiting(self) -> tuple[Ball, ...]:
        """Kept and in no lesson yet, whosever they are."""
        return tuple(ball for ball in self._balls.values() if ball.stage is Stage.KEPT)

    @property
    def under_way(self) -> int:
        """How many are still being written."""
        return sum(ball.stage is Stage.STRUCK for ball in self.all)

    def take(self, fact: Fact) -> bool:
        """Take up one fact; says whether it was about a ball."""
        match fact:
            case Struck():
                self._balls[fact.id] = Ball(
                    id=fact.id, struck_at=fact.struck_at, trigger=fact.trigger
                )
            case LookReady() if fact.id in self._balls:
                self._put(fact.id, looks=fact.looks)
            case Kept():
                self._kept(fact)
            case Lost():
                self._lost(fact)
            case _:
                return False
        return True

    def _kept(self, fact: Kept) -> None:
        if fact.id not in self._balls:
            at = datetime.now().astimezone()
            self._balls[fact.id] = Ball(id=fact.id, struck_at=at, is_stray=True)
        self._put(fact.id, stage=Stage.KEPT, folder=Path(fact.folder), said=" ".join(fact.said))

    def _lost(self, fact: Lost) -> None:
        key = fact.id or f"lost {fact.struck_at.isoformat()}"
        self._balls.setdefault(key, Ball(id=key, struck_at=fact.struck_at))
        self._put(key, stage=Stage.LOST, said=f"{fact.why} {fact.try_next}")

    def _put(
        self,
        key: str,
        *,
        stage: Stage | None = None,
        folder: Path | None = None,
        looks: tuple[LookAt, ...] | None = None,
        said: str | None = None,
    ) -> None:
        old = self._balls[key]
        self._balls[key] = replace(
            old,
            stage=stage or old.stage,
            folder=folder or old.folder,
            looks=old.looks if looks is None else looks,
            said=old.said if said is None else said,
        )

    def taken(self, swing: Swing) -> None:
        """It is in the lesson now."""
        if swing.id in self._balls:
            self._put(swing.id, stage=Stage.TAKEN)

    def told(self, swing: Swing) -> None:
        """What the lesson says of it counts from now on."""
        old = self._balls.get(swing.id)
        if old is not None:
            book = swing.book
            self._balls[swing.id] = replace(old, starred=book.starred, rating=book.ball.rating)

    def left(self, key: str, why: str) -> None:
        """It stays in the inbox, and why."""
        if key in self._balls:
            self._put(key, stage=Stage.LEFT, said=why)

    def gone(self, key: str) -> None:
        """It was put away by hand."""
        self._balls.pop(key, None)

    def star(self, key: str) -> None:
        """Star it, or take the star away, before it is in the lesson."""
        old = self._balls[key]
        self._balls[key] = replace(old, starred=not old.starred)

    def rate(self, key: str, rating: int) -> None:
        """Say how good it was; the same again takes it away."""
        old = self._balls[key]
        self._balls[key] = replace(old, rating=None if old.rating == rating else rating)

    def an_hour(self) -> float | None:
        """This sitting's pace, balls an hour; None while there are too few."""
        times = [ball.struck_at for ball in self.all if ball.stage is not Stage.LOST]
        if len(times) < _LEAST_BALLS:
            return None
        long_s = (max(times) - min(times)).total_seconds()
        return (len(times) - 1) * _HOUR_S / long_s if long_s > 0 else None

    def forget(self) -> None:
        """Another lesson begins."""
        self._balls.clear()
