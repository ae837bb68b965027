"""Swings, their recordings and results; frozen, plain, held by every layer."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from fractions import Fraction

from capturestation.records.drawings import Drawing, SpotMark
from capturestation.records.people import LessonId, StudentId, SwingId
from capturestation.records.times import Mark, Moment, Sync, Zero
from capturestation.records.views import View

MOST_RECORDINGS = 3


class SwingKind(StrEnum):
    """Kinds of swing; never compared across."""

    FULL = "full"
    PART = "part"
    PITCH = "pitch"
    PUTT = "putt"
    DRILL = "drill"
    REHEARSAL = "rehearsal"


class ClubGroup(StrEnum):
    """Clubs that swing alike; never compared across."""

    DRIVER = "driver"
    WOOD = "wood"
    HYBRID = "hybrid"
    IRON = "iron"
    WEDGE = "wedge"
    PUTTER = "putter"
    OTHER = "other"


_NUMBER = r"(?:\d|one|two|three|four|five|six|seven|eight|nine)"
_LOFT = r"(?:4[4-9]|5\d|6[0-4]) ?(?:°|deg|degrees?)?"
_GROUP_PATTERNS = (
    (ClubGroup.PUTTER, r"putter"),
    (ClubGroup.DRIVER, r"driver(?: \d+(?:\.\d+)?°?)?|(?:1|one) ?w(?:ood)?"),
    (ClubGroup.WEDGE, rf".*wedge|[pgsal]w|lob|pitching|gap|sand|{_LOFT}"),
    (ClubGroup.HYBRID, rf"{_NUMBER} ?h(?:y|ybrid)?|hybrid(?: ?{_NUMBER})?|rescue(?: ?{_NUMBER})?"),
    (ClubGroup.WOOD, rf"{_NUMBER} ?w(?:ood)?|1\d ?w(?:ood)?|wood {_NUMBER}|fairway(?: wood)?"),
    (ClubGroup.IRON, rf"{_NUMBER} ?i(?:ron)?|iron(?: ?{_NUMBER})?|[2-9]"),
)


def club_group(club: str) -> ClubGroup:
    """The group that a club belongs to by its everyday name.

    Example:
        >>> [str(club_group(name)) for name in ("7 iron", "PW", "3w", "Driver", "stick")]
        ['iron', 'wedge', 'wood', 'driver', 'other']
    """
    plain = re.sub(r"[\s_-]+", " ", club.strip().lower())
    for group, pattern in _GROUP_PATTERNS:
        if re.fullmatch(pattern, plain):
            return group
    return ClubGroup.OTHER


@dataclass(frozen=True, slots=True, kw_only=True)
class BallResult:
    """What the ball did, in the coach's words; empty where nothing was noted.

    Args:
        start: Where it started: left, straight, right.
        curve: How it curved: left, straight, right.
        contact: Solid, thin, fat, heel, toe ...
        rating: 1 (poor) to 5 (as wanted); None where not rated.
    """

    start: str = ""
    curve: str = ""
    contact: str = ""
    rating: int | None = None

    def __post_init__(self) -> None:
        if self.rating is not None and not 1 <= self.rating <= 5:
            msg = f"a rating is 1 to 5, got {self.rating}"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Recording:
    """One file of one swing: facts that never change once it is kept.

    Args:
        view: Where the camera stood.
        file: File name inside the swing's folder.
        sha256: Hash of the file's bytes, hex.
        size_bytes: Length of the file.
        width_px: Width as shown, after rotation.
        height_px: Height as shown.
        frames: Shown frames.
        rate_hz: Mean rate of shown frames; None for a single frame.
        time_base: Unit of the video's stamps.
        first_pts: Stamp of the first shown frame.
        duration_ns: From the first shown frame to the end of the last.
        has_sound: Whether a sound track is there.
        camera: The camera's name, where known; a delay or lens is kept with it.
    """

    view: View
    file: str
    sha256: str
    size_bytes: int
    width_px: int
    height_px: int
    frames: int
    rate_hz: Fraction | None
    time_base: Fraction
    first_pts: int
    duration_ns: int
    has_sound: bool
    camera: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A number that carries its errors.

    Args:
        value: The best value.
        unit: s, ratio, deg, cm ...
        u_random: Standard uncertainty that differs from swing to swing.
        u_systematic: Standard uncertainty that two swings of one set-up share.
        cause: What the larger part comes from, in words.
    """

    value: float
    unit: str
    u_random: float
    u_systematic: float = 0.0
    cause: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """One measure of one swing, or the reason why it is missing."""

    name: str
    moment: Moment | None = None
    measured: Measured | None = None
    why_missing: str = ""
    method: str = ""

    def __post_init__(self) -> None:
        if (self.measured is None) == (not self.why_missing):
            msg = f"{self.name}: either a value or a reason why it is missing"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingFacts:
    """What `swing.json` holds: written once when the swing is kept, never rewritten."""

    id: SwingId
    struck_at: datetime
    recordings: tuple[Recording, ...]
    made_by: str

    def __post_init__(self) -> None:
        views = [recording.view for recording in self.recordings]
        if not 1 <= len(views) <= MOST_RECORDINGS or len(set(views)) != len(views):
            msg = f"a swing has one to three recordings of different views, got {views}"
            raise ValueError(msg)
        if self.struck_at.tzinfo is None:
            msg = "struck_at needs a time zone"
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class SwingBook:
    """What `book.json` holds: the library's part, replaced whole on each change.

    `moved` names the views whose camera no longer stood as its calibration says: that one does
    not count for this swing. `exchanged`: the files of face-on and down the line were named the
    other way round when the swing was kept; everything else of a book is said of them as they are.
    """

    id: SwingId
    student_id: StudentId
    lesson_id: LessonId
    club: str
    kind: SwingKind = SwingKind.FULL
    zero: Zero = Zero.CONTACT
    ball: BallResult = BallResult()
    starred: bool = False
    notes: str = ""
    syncs: tuple[Sync, ...] = ()
    marks: tuple[Mark, ...] = ()
    results: tuple[Result, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    spots: tuple[SpotMark, ...] = ()
    moved: tuple[View, ...] = ()
    exchanged: bool = False

    def __post_init__(self) -> None:
        views = [sync.view for sync in self.syncs]
        if len(views) != len(set(views)):
            msg = f"one place on the clock for each view, got {views}"
            raise ValueError(msg)
        keys = [(mark.moment, mark.source) for mark in self.marks]
        if len(keys) != len(set(keys)):
            msg = f"one mark for each moment and source, got {keys}"
            raise ValueError(msg)
        spots = [(spot.view, spot.spot, spot.source) for spot in self.spots]
        if len(spots) != len(set(spots)):
            msg = f"one place for each spot, view and source, got {spots}"
            raise ValueError(msg)


def facts_by_book(facts: SwingFacts, book: SwingBook) -> SwingFacts:
    """A swing's facts as its book puts them right, or back as they are kept: each is the other."""
    if not book.exchanged:
        return facts
    held = {recording.view: recording for recording in facts.recordings}
    # The order of the views stays: where face-on stood first it does so again.
    recordings = tuple(
        replace(held[view.across], view=view)
        if view.across in held
        else replace(recording, view=view.across)
        for view, recording in held.items()
    )
    return replace(facts, recordings=recordings)


@dataclass(frozen=True, slots=True, kw_only=True)
class Swing:
    """A swing as every layer above the folders sees it: the kept facts and the book's part.

    The facts are those that the book has put right (`facts_by_book`).
    """

    facts: SwingFacts
    book: SwingBook

    def __post_init__(self) -> None:
        if self.facts.id != self.book.id:
            msg = f"facts of {self.facts.id} and book of {self.book.id}"
            raise ValueError(msg)

    @property
    def id(self) -> SwingId:
        """The swing's id."""
        return self.facts.id

    @property
    def kept_facts(self) -> SwingFacts:
        """The facts as they were written when it was kept."""
        return facts_by_book(self.facts, self.book)

    @property
    def club_group(self) -> ClubGroup:
        """The group of its club."""
        return club_group(self.book.club)

    def recording(self, view: View) -> Recording | None:
        """The recording of that view, if there is one."""
        return next((r for r in self.facts.recordings if r.view is view), None)

    def sync(self, view: View) -> Sync | None:
        """Where that view stands on the swing's clock, if it is known."""
        return next((s for s in self.book.syncs if s.view is view), None)
