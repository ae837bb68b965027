"""The invented scenario: one student, two lessons, five swings, and where their files are.

Owns `session.json` and the ready-made clips beside it. Everything in it is invented. Refuses to
know the library; the demo turns these plain facts into students, lessons and swings.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date, datetime
from importlib.resources import files
from pathlib import Path

from capturestation.records import BallResult, Consent, Hand, SwingKind, View, from_plain
from sample_sessions.cameras import AS_USUAL, Placement, cameras_for
from sample_sessions.parameters import SwingParameters
from sample_sessions.truth import ClipTruth, load_truth

VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleStudent:
    """The invented student as a coach would write her down."""

    name: str
    hand: Hand
    birth_year: int
    consents: tuple[Consent, ...]
    limits_today: str
    notes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSwing:
    """One invented swing.

    Args:
        name: Also the stem of its files.
        struck_at: With a time zone.
        starred: Whether it is the student's best.
        notes: The coach's.
        ball: What the ball did.
        shirt: Colour of the day, RGB.
        parameters: What the picture and the truth are made from.
        face_on: How that camera was set up on the day.
        down_the_line: How the other was.
    """

    name: str
    struck_at: datetime
    starred: bool
    notes: str
    ball: BallResult
    shirt: tuple[int, ...]
    parameters: SwingParameters
    face_on: Placement = AS_USUAL
    down_the_line: Placement = AS_USUAL

    @property
    def club(self) -> str:
        """The club's everyday name."""
        return self.parameters.club_name

    @property
    def kind(self) -> SwingKind:
        """The kind of swing."""
        return self.parameters.kind

    def clip(self, view: View) -> Path:
        """The ready-made clip of that view."""
        return clips_folder() / f"{self.name}.{view}.mp4"

    def truth_file(self, view: View) -> Path:
        """The truth beside that clip."""
        return clips_folder() / f"{self.name}.{view}.truth.json"

    def truth(self, view: View) -> ClipTruth:
        """What is true of that clip.

        Raises:
            BadInputError: If its file is missing or damaged.
        """
        return load_truth(self.truth_file(view))

    def mic_distance_m(self, view: View) -> float:
        """From ball to that camera's microphone, as a coach would measure it: whole centimetres."""
        return round(self.truth(view).mic_distance_m, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleLesson:
    """One invented lesson, its swings in the order they were struck."""

    on: date
    focus: tuple[str, ...]
    notes: str
    swings: tuple[SampleSwing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleSession:
    """The whole scenario; lessons from the earliest to today's."""

    student: SampleStudent
    lessons: tuple[SampleLesson, ...]

    @property
    def swings(self) -> tuple[SampleSwing, ...]:
        """All swings, oldest first."""
        return tuple(swing for lesson in self.lessons for swing in lesson.swings)

    @property
    def camera_names(self) -> dict[View, str]:
        """What each view's camera calls itself."""
        return {camera.view: camera.name for camera in cameras_for(self.student.hand)}

    def swing(self, name: str) -> SampleSwing:
        """The swing of that name.

        Raises:
            KeyError: If there is none.
        """
        for swing in self.swings:
            if swing.name == name:
                return swing
        raise KeyError(name)


def clips_folder() -> Path:
    """Where the ready-made clips lie, in the checkout or in the installed package."""
    return Path(str(files("sample_sessions"))) / "clips"


def load_session() -> SampleSession:
    """Read the scenario that comes with the package.

    Example:
        >>> session = load_session()
        >>> [len(lesson.swings) for lesson in session.lessons]
        [2, 3]
    """
    text = files("sample_sessions").joinpath("session.json").read_text(encoding="utf-8")
    return from_plain(SampleSession, json.loads(text))
