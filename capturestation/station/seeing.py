"""One recording looked through once: what moves, where the joints are, where the club is.

Owns that each picture is decoded once for all who look at it, which pictures each of them gets, and
that what they find is said in the recording's own pixels and on its own clock. Clean-up and meaning
come after.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Protocol

import cv2
import numpy as np

from capturestation.media.frames import FrameReader
from capturestation.records import (
    NS_PER_S,
    BoolArray,
    Box,
    FloatArray,
    FrameArray,
    Hand,
    IntArray,
    Mark,
    Moment,
    Point,
    Sync,
    Watch,
)
from capturestation.swing.marks import effective_marks
from capturestation.swing.tracks import BodyTrack, ClubTrack, Company, MotionTrack
from capturestation.tracking.body import BodyTracker, hands_px
from capturestation.tracking.body_network import BodyNetwork
from capturestation.tracking.motion import WIDTH_PX, motion_energy
from capturestation.tracking.reach import Reach
from capturestation.tracking.swinger import who_swings

LOOKED_AT_PX = (1280, 720)
"""Larger pictures are shrunk to fit: the networks look at 256 pixels."""
_STILL_HZ, _USUAL_HZ, _QUICK_HZ = 15.0, 60.0, 120.0
_QUICK_S = (-0.45, 0.25)
_MARGIN_S = 0.15
_SLACK = 0.9
# A picture a little early is as good: frames don't come in exact multiples.
_GLANCES = 8
_BACK_AND_DOWN_S = (-0.6, -0.4, -0.2, -0.05)
# When hands that hold a club are together, and feet stay.


class Club(Protocol):
    """What looks for the club; `tracking.club` holds it."""

    def see(
        self,
        frame_rgb: FrameArray,
        time_ns: int,
        hands_px: FloatArray | None,
        size_px: float | None,
    ) -> None:
        """Take one more picture in."""

    def track(self) -> ClubTrack:
        """All that was seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What was found in one recording, on its own clock and in its own pixels.

    Args:
        motion: How much moves.
        body: The joints as the network says them; None without the network.
        club: The club; None where nobody looked for it.
        company: Who else was about.
    """

    motion: MotionTrack
    body: BodyTrack | None
    club: ClubTrack | None
    company: Company = field(default_factory=Company)

    def placed(self, sync: Sync) -> Looked:
        """The same on the swing's clock."""
        return replace(
            self,
            motion=self.motion.placed(sync),
            body=None if self.body is None else self.body.placed(sync),
            club=None if self.club is None else self.club.placed(sync),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Who looks at which pictures.

    Args:
        body: (n,) for each picture.
        club: (n,) for each picture.
    """

    body: BoolArray
    club: BoolArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """Who looks at one recording.

    Args:
        body: Looks for joints; None for nobody.
        company: Who else is about.
        moves_in: Where alone motion counts, since others move too; None counts all of it.
    """

    body: BodyTracker | None = None
    company: Company = field(default_factory=Company)
    moves_in: Box | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lookers:
    """Who looks at a recording beside the motion.

    Args:
        hand: Of the golfer.
        network: Looks for joints; None leaves them out.
        club: Looks for the club; None leaves it out.
        box: Where the golfer is, by the coach; None looks where something moves.
        stance: Toes and grip as a coach pointed them out: of several who move, he stands there.
    """

    hand: Hand = Hand.RIGHT
    network: BodyNetwork | None = None
    club: Club | None = None
    box: Box | None = None
    stance: tuple[Point, ...] = ()

    def begin(self, reader: FrameReader, sync: Sync) -> Begun:
        """Who looks for joints in a recording, and who else is about."""
        if self.network is None:
            return Begun()
        boxes = _where_it_moves(reader, sync)
        if self.box is not None:
            known = BodyTracker(self.network, hand=self.hand, box=self.box, with_club=False)
            return Begun(body=known, moves_in=_most_of(self.box, boxes))
        where = boxes[0] if boxes else None
        if len(boxes) > 1:
            where = self._pointed_at(boxes)
            if where is None:
                pictures = [_frame(reader, sync, at_s) for at_s in _BACK_AND_DOWN_S]
                where = who_swings(self.network, pictures, boxes, self.hand)
            if where is None:
                return Begun(company=Company(others=len(boxes) - 1, is_doubtful=True))
        tracker = BodyTracker(self.network, hand=self.hand, box=where)
        if len(boxes) < 2:
            return Begun(body=tracker)
        return Begun(body=tracker, company=Company(others=len(boxes) - 1), moves_in=where)

    def _pointed_at(self, boxes: tuple[Box, ...]) -> Box | None:
        """The box in which toes and grip lie; None where nobody pointed, or in more than one."""
        if not self.stance:
            return None
        x = sum(at.x for at in self.stance) / len(self.stance)
        there = [box for box in boxes if box.left <= x <= box.right]
        return there[0] if len(there) == 1 else None


def _most_of(golfer: Box, boxes: tuple[Box, ...]) -> Box | None:
    """The box of those that move in which the golfer is; None where nobody else moves."""
    if len(boxes) < 2:
        return None
    shared = [min(golfer.right, one.right) - max(golfer.left, one.left) for one in boxes]
    best = max(range(len(boxes)), key=shared.__getitem__)
    return boxes[best] if shared[best] > 0.0 else golfer


def look_through(
    path: Path, sync: Sync, marks: tuple[Mark, ...], lookers: Lookers, watch: Watch
) -> Looked:
    """Decode a recording once and let all look at it.

    Args:
        path: The recording.
        sync: Its place on the swing's clock.
        marks: What is known of the moments: where nothing moves, fewer pictures will do.
        lookers: Who looks.
        watch: Told how far it is, and may stop it.

    Raises:
        NotReadableError: If a picture can't be decoded.
        CancelledError: If it was stopped.
    """
    with FrameReader(path, cache_mb=16) as reader:
        times_ns = reader.index.times_ns
        plan = planned(times_ns, sync, marks)
        begun, club = lookers.begin(reader, sync), lookers.club
        width_px = reader.size_px[0]
        eyes = _Eyes(times_ns, plan, begun, club)
        frames = reader.iter_rgb(0, len(times_ns), box_px=_box_px(reader.size_px))
        motion = motion_energy(eyes.greys(frames, watch), times_ns)
    scale, body, company = width_px / eyes.width_px, begun.body, begun.company
    return Looked(
        motion=motion,
        body=None if body is None else _enlarged(body.track(), scale),
        club=None if club is None else _club_enlarged(club.track(), scale),
        company=company if body is None else _with_what_was_met(company, body),
    )


def _with_what_was_met(company: Company, body: BodyTracker) -> Company:
    return replace(company, hidden_share=body.others_share, lies_deg=body.lies_deg)


def planned(times_ns: IntArray, sync: Sync, marks: tuple[Mark, ...]) -> Plan:
    """Which pictures are looked at: many where the club is quick, few where nothing moves.

    Args:
        times_ns: (n,) of the pictures, media clock.
        sync: The recording's place.
        marks: Moments as far as they are known.
    """
    at_s = sync.to_swing(times_ns) / NS_PER_S
    known = effective_marks(marks)
    starts, finish = known.get(Moment.CLUB_STARTS), known.get(Moment.FINISH)
    begin_s = -np.inf if starts is None or starts.early_ns is None else starts.early_ns / NS_PER_S
    end_s = np.inf if finish is None or finish.late_ns is None else finish.late_ns / NS_PER_S
    moving = (at_s >= begin_s - _MARGIN_S) & (at_s <= end_s + _MARGIN_S)
    quick = (at_s >= _QUICK_S[0]) & (at_s <= _QUICK_S[1])
    rate_hz = np.where(quick, _QUICK_HZ, np.where(moving, _USUAL_HZ, _STILL_HZ))
    every = _spaced(at_s, np.where(moving, _QUICK_HZ, _STILL_HZ))
    return Plan(body=_spaced(at_s, rate_hz), club=every)


def _spaced(at_s: FloatArray, rate_hz: FloatArray) -> BoolArray:
    """Pictures that lie no closer than these rates allow."""
    chosen = np.zeros(len(at_s), dtype=np.bool_)
    last_s = -np.inf
    for place, (time_s, rate) in enumerate(zip(at_s, rate_hz, strict=True)):
        if time_s - last_s >= _SLACK / rate:
            chosen[place], last_s = True, time_s
    return chosen


class _Eyes:
    """Hands each picture to those whose turn it is."""

    def __init__(self, times_ns: IntArray, plan: Plan, begun: Begun, club: Club | None) -> None:
        self._times_ns, self._plan = times_ns, plan
        self._body, self._club, self._moves_in = begun.body, club, begun.moves_in
        self.width_px = 1

    def greys(self, frames: Iterator[FrameArray], watch: Watch) -> Iterator[FrameArray]:
        """The small grey pictures for the motion, each looked at on the way."""
        for place, frame_rgb in enumerate(frames):
            watch.report(place / len(self._times_ns), "looking at the swing")
            self._look(place, frame_rgb)
            yield _within(small_grey(frame_rgb), self._moves_in)

    def _look(self, place: int, frame_rgb: FrameArray) -> None:
        time_ns = int(self._times_ns[place])
        self.width_px = frame_rgb.shape[1]
        if self._body is not None and self._plan.body[place]:
            self._body.see(frame_rgb, time_ns)
        if self._club is not None and self._plan.club[place]:
            last = None if self._body is None else self._body.last_px
            hands, tall = hands_px(last)
            self._club.see(frame_rgb, time_ns, hands, tall)


def _within(grey: FrameArray, box: Box | None) -> FrameArray:
    """The part of a picture that a box holds; all of it without one."""
    if box is None:
        return grey
    height, width = grey.shape
    rows = slice(int(box.top * height), max(round(box.bottom * height), 1))
    columns = slice(int(box.left * width), max(round(box.right * width), 1))
    return np.ascontiguousarray(grey[rows, columns])


def small_grey(frame_rgb: FrameArray) -> FrameArray:
    """A picture as the motion sees it."""
    height, width = frame_rgb.shape[:2]
    scale = min(1.0, WIDTH_PX / width)
    size = (max(round(width * scale), 1), max(round(height * scale), 1))
    # Grey first: a third of the numbers to shrink.
    grey = cv2.cvtColor(frame_rgb, cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def _box_px(size_px: tuple[int, int]) -> tuple[int, int] | None:
    is_small = max(size_px) <= LOOKED_AT_PX[0] and min(size_px) <= LOOKED_AT_PX[1]
    return None if is_small else LOOKED_AT_PX


def _where_it_moves(reader: FrameReader, sync: Sync) -> tuple[Box, ...]:
    """How far the swing reaches, by a few pictures round impact; more where others move too."""
    reach = Reach()
    for at_s in np.linspace(-0.9, 0.4, _GLANCES):
        media_ns = int(sync.to_media(round(at_s * NS_PER_S)))
        grey = reader.frame_grey(reader.at(media_ns))
        scale = WIDTH_PX / max(grey.shape)
        size = (max(round(grey.shape[1] * scale), 1), max(round(grey.shape[0] * scale), 1))
        reach.see(np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_AREA), np.uint8))
    return reach.boxes()


def _frame(reader: FrameReader, sync: Sync, at_s: float) -> FrameArray:
    return reader.frame_rgb(reader.at(int(sync.to_media(round(at_s * NS_PER_S)))))


def _enlarged(track: BodyTrack, scale: float) -> BodyTrack:
    if scale == 1.0:
        return track
    return replace(track, joints_px=(track.joints_px + 0.5) * scale - 0.5)


def _club_enlarged(track: ClubTrack, scale: float) -> ClubTrack:
    if scale == 1.0:
        return track
    grip, head = ((at + 0.5) * scale - 0.5 for at in (track.grip_px, track.head_px))
    return replace(track, grip_px=grip, head_px=head)
