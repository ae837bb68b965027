"""How far measuring the bay has come: what was taken, what is missing, what came out.

Owns the state that the window reads and the words' keys; `measuring` alone changes it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeAlias

from calibration.advice import Missing, lens_coverage
from calibration.bay import BEST_PLACES, LEAST_PLACES
from calibration.boards import BAY_BOARD, LENS_BOARD, Board
from calibration.corners import Corners, Refused, Sight
from calibration.lens import LEAST_VIEWS, Lens, LensResult
from calibration.places import Place, Stance
from calibration.standing import BayCalibration
from capturestation.records import Box, Point, View
from capturestation.station.bay.aims import Aim, FoundCamera, dots_of, empty_fields, found_camera
from capturestation.station.bay.laid_sticks import LaidSticks
from capturestation.station.bay.standing_order import Odd, odd_order
from capturestation.station.bench.notice import Notice

Sights: TypeAlias = dict[View, Sight]
"""What each live picture shows."""
Outcome: TypeAlias = LensResult | BayCalibration
"""What is worked out."""


class Means(StrEnum):
    """What the places of the cameras are measured with."""

    BOARD = "board"
    STICKS = "sticks"


class Step(StrEnum):
    """Where one is on the way."""

    LENS = "lens"
    LINE = "line"
    PLACES = "places"
    STICKS = "sticks"
    RESULT = "result"


class Verdict(StrEnum):
    """What the live picture gives at this moment."""

    LOOKING = "looking"
    MOVING = "moving"
    KNOWN = "known"
    TAKEN = "taken"
    OTHER_CAMERA = "other camera"
    EXCHANGED = "exchanged"


@dataclass(slots=True, eq=False)
class LensWork:
    """What was taken of one lens."""

    seen: list[Corners] = field(default_factory=list)
    result: LensResult | None = None


class MeasuringState:
    """What was taken on the way from boards or sticks to places.

    Attributes:
        changed: Something is read otherwise.
        step: Where one is.
        at: Whose lens is measured.
        sights: What each camera's newest picture shows.
        verdict: What became of the newest pictures.
        lenses: Each camera's lens, once it is known.
        places: Where the board stood; the first gives the target line.
        result: Where the cameras stand, once it is worked out.
        target_is_left: In the face-on picture, for a bay that is set up for left-handers.
        means: Board or sticks.
        board: The large board as it was printed.
        stance: How the board stands at the next place.
        sticks: The two sticks, and their ends in the pictures.
    """

    def __init__(self) -> None:
        self.changed = Notice()
        self.aims: tuple[Aim, ...] = ()
        self.target_is_left = False
        self.means = Means.BOARD
        self.board = BAY_BOARD
        self.sticks = LaidSticks()
        self._clear()

    def _clear(self) -> None:
        self.step = Step.LENS
        self.at: View | None = None
        self.sights: dict[View, Sight] = {}
        self.verdict = Verdict.LOOKING
        self.lenses: dict[View, Lens] = {}
        self.places: list[Place] = []
        self.stance = Stance.STANDING
        self.result: BayCalibration | None = None
        self._newest: Lens | None = None
        self._work: dict[View, LensWork] = {}
        self._before: dict[View, Corners] = {}
        self.sticks.marks.clear()

    @property
    def is_lying(self) -> bool:
        """Whether the board lies at the next place."""
        return self.stance is Stance.LYING

    @property
    def by_view(self) -> dict[View, Aim]:
        """The cameras by where they stand."""
        return {aim.view: aim for aim in self.aims}

    @property
    def alone(self) -> View | None:
        """The one camera whose picture matters while its lens is measured; None for all."""
        return self.at if self.step is Step.LENS else None

    @property
    def wanted(self) -> dict[View, Board]:
        """In which live pictures which board is looked for."""
        if self.step is Step.LENS and self.at is not None:
            return {self.at: LENS_BOARD}
        if self.step in (Step.LINE, Step.PLACES):
            return dict.fromkeys(self.by_view, self.board)
        return {}

    @property
    def taken(self) -> int:
        """Pictures of this lens, or places."""
        if self.step is Step.LENS and self.at is not None:
            return len(self._of(self.at).seen)
        return self.sticks.marks.count if self.means is Means.STICKS else len(self.places)

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What is still to be shown to the camera whose lens is measured."""
        return () if self.at is None else lens_coverage(self._of(self.at).seen).missing

    def empty_fields(self, view: View) -> tuple[Box, ...]:
        """Where in a picture the board was not seen yet, while its lens is measured."""
        if self.step is not Step.LENS or view is not self.at:
            return ()
        return empty_fields(lens_coverage(self._of(view).seen))

    def dots(self, view: View) -> tuple[Point, ...]:
        """The corners that are seen in a picture now, shares of it, upright."""
        return dots_of(self.sights.get(view))

    @property
    def is_enough(self) -> bool:
        """Whether what was taken can be worked out."""
        if self.step is Step.LENS:
            return self.at is not None and not self.missing
        if self.step is Step.STICKS:
            return self.sticks.can_place(self.by_view)
        return self.step is Step.PLACES and len(self.places) >= BEST_PLACES

    @property
    def seen_words(self) -> str:
        """What the newest pictures give, or why nothing: the last part of its text's key."""
        if self.verdict is not Verdict.LOOKING:
            return self.verdict.name.lower()
        refused = [sight.refused for sight in self.sights.values() if sight.refused is not None]
        helpful = [why for why in refused if why is not Refused.NOT_THERE]
        return helpful[0].name.lower() if helpful else self.verdict.name.lower()

    @property
    def next_words(self) -> str:
        """What is to be done next: the last part of its text's key."""
        if self.step is Step.LENS:
            missing = self.missing
            return f"lens.{missing[0].name.lower()}" if missing else "lens.enough"
        if self.step is Step.PLACES:
            return "places.enough" if self.is_enough else "places.more"
        if self.step is Step.STICKS:
            return self.sticks.next_words(self.by_view)
        return str(self.step)

    def lens_result(self, view: View) -> LensResult | None:
        """How a camera's lens was come by, where that was now."""
        return self._of(view).result

    @property
    def seen_is_well(self) -> bool:
        """Whether the newest pictures show what is looked for."""
        return self.verdict in (Verdict.KNOWN, Verdict.TAKEN)

    @property
    def can_work(self) -> bool:
        """Whether there is enough to work it out, if not enough to do so well."""
        if self.step is Step.STICKS:
            return self.is_enough
        least = LEAST_VIEWS if self.step is Step.LENS else LEAST_PLACES
        return self.step in (Step.LENS, Step.PLACES) and self.taken >= least

    @property
    def found(self) -> tuple[FoundCamera, ...]:
        """What was worked out of each camera."""
        return (
            ()
            if self.result is None
            else tuple(found_camera(aim, self.result) for aim in self.aims)
        )

    @property
    def left_out(self) -> tuple[str, ...]:
        """Places that did not fit."""
        return () if self.result is None else self.result.bad

    @property
    def is_good_for_metres(self) -> bool:
        """Whether places in the bay may be shown; else pictures may be laid over only."""
        return self.result is not None and self.result.metres_good

    @property
    def odd(self) -> Odd | None:
        """What can't be in how the cameras stand, if anything."""
        if self.result is None:
            return None
        return odd_order(self.result, {aim.view: aim.camera for aim in self.aims})

    def _of(self, view: View) -> LensWork:
        return self._work.setdefault(view, LensWork())
