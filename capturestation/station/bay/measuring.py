"""Measuring where the cameras stand, step by step, without its window.

Owns what is looked for in the live pictures, when a picture is taken by itself, what is still
missing, and what may be taken back. What was taken stays while the window is open: nobody has to
begin anew who went to open a door. Corners are found, and cameras worked out, beside the window.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TypeAlias

from calibration.advice import Missing, adds_something, lens_coverage
from calibration.bay import BEST_PLACES, LEAST_PLACES, calibrate_bay
from calibration.boards import BAY_BOARD, LENS_BOARD, Board
from calibration.corners import Corners, Refused, Sight
from calibration.lens import (
    LEAST_VIEWS,
    Lens,
    LensResult,
    calibrate_lens,
    lens_from_field_of_view,
)
from calibration.lens import View as LensView
from calibration.places import Place, Stance
from calibration.standing import BayCalibration
from capturestation.records import Box, FrameArray, Point, View, Watch
from capturestation.station.bay.aims import (
    Aim,
    FoundCamera,
    dots_of,
    empty_fields,
    find_in,
    found_camera,
    is_near,
    is_still,
)
from capturestation.station.bench.notice import Notice
from capturestation.station.from_pictures import explained, worked_out

Sights: TypeAlias = dict[View, Sight]
"""What each live picture shows."""
Outcome: TypeAlias = LensResult | BayCalibration
"""What is worked out."""


class Step(StrEnum):
    """Where one is on the way."""

    LENS = "lens"
    LINE = "line"
    PLACES = "places"
    RESULT = "result"


class Verdict(StrEnum):
    """What the live picture gives at this moment."""

    LOOKING = "looking"
    MOVING = "moving"
    KNOWN = "known"
    TAKEN = "taken"
    OTHER_CAMERA = "other camera"


@dataclass(slots=True, eq=False)
class _LensWork:
    """What was taken of one lens."""

    seen: list[Corners] = field(default_factory=list)
    result: LensResult | None = None


class Measuring:
    """The way from boards to places.

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
    """

    def __init__(self) -> None:
        self.changed = Notice()
        self.aims: tuple[Aim, ...] = ()
        self.target_is_left = False
        self._clear()

    def _clear(self) -> None:
        self.step = Step.LENS
        self.at: View | None = None
        self.sights: dict[View, Sight] = {}
        self.verdict = Verdict.LOOKING
        self.lenses: dict[View, Lens] = {}
        self.places: list[Place] = []
        self.result: BayCalibration | None = None
        self._newest: Lens | None = None
        self._work: dict[View, _LensWork] = {}
        self._before: dict[View, Corners] = {}

    def begin(self, aims: tuple[Aim, ...], known: Mapping[View, Lens]) -> None:
        """Begin, or go on where one was with the same cameras.

        Args:
            aims: The cameras.
            known: Lenses that were measured before, as they are set now.
        """
        had = {aim.view: aim for aim in self.aims}
        if any(had.get(aim.view, aim) != aim for aim in aims):
            self._clear()
            had.clear()
        # A camera that isn't back yet is still the one that it was.
        there = had | {aim.view: aim for aim in aims}
        self.aims = tuple(there[view] for view in View if view in there)
        self.lenses |= {view: lens for view, lens in known.items() if view not in self.lenses}
        self._go_on()

    def begin_anew(self) -> None:
        """Forget all that was taken."""
        self.aims = ()
        self._clear()
        self.changed()

    # How it stands.

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
            return dict.fromkeys(self.by_view, BAY_BOARD)
        return {}

    @property
    def taken(self) -> int:
        """Pictures of this lens, or places."""
        if self.step is Step.LENS and self.at is not None:
            return len(self._of(self.at).seen)
        return len(self.places)

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

    # What the live pictures show.

    def search(self, greys: Mapping[View, FrameArray]) -> Callable[[], dict[View, Sight]]:
        """What looks for the board in live pictures, as they were stored; beside the window."""
        wanted = {view: board for view, board in self.wanted.items() if view in greys}
        aims = self.by_view
        return lambda: {v: find_in(greys[v], aims[v], board) for v, board in wanted.items()}

    def take(self, sights: Mapping[View, Sight]) -> bool:
        """Take up what was found in the newest pictures.

        Returns:
            Whether something was taken by itself.
        """
        sights = {view: sight for view, sight in sights.items() if view in self.wanted}
        self.sights = dict(sights)
        there = {view: s.corners for view, s in sights.items() if s.corners is not None}
        still = {v: c for v, c in there.items() if is_still(self._before.get(v), c)}
        self._before = dict(there)
        taken = self._take_lens(still) if self.step is Step.LENS else self._take_place(still, there)
        self.changed()
        return taken

    def _take_lens(self, still: Mapping[View, Corners]) -> bool:
        at = self.at
        assert at is not None
        sight = self.sights.get(at)
        if sight is None or sight.corners is None:
            self.verdict = Verdict.LOOKING
        elif at not in still:
            self.verdict = Verdict.MOVING
        elif not adds_something(self._of(at).seen, still[at]):
            self.verdict = Verdict.KNOWN
        else:
            self._of(at).seen.append(still[at])
            self.verdict = Verdict.TAKEN
            return True
        return False

    def _take_place(self, still: Mapping[View, Corners], there: Mapping[View, Corners]) -> bool:
        needed = set(self.by_view)
        if self.step is Step.LINE and View.FACE_ON in needed:
            # Seen down the line, a board that stands along it is but an edge.
            needed = {View.FACE_ON}
        if not needed & set(there):
            self.verdict = Verdict.LOOKING
        elif needed - set(there):
            self.verdict = Verdict.OTHER_CAMERA
        elif needed - set(still):
            self.verdict = Verdict.MOVING
        elif self._is_known_place(still):
            self.verdict = Verdict.KNOWN
        else:
            self._add_place({self.by_view[view].camera: one for view, one in still.items()})
            return True
        return False

    def _is_known_place(self, still: Mapping[View, Corners]) -> bool:
        seen = {self.by_view[view].camera: one for view, one in still.items()}
        return any(
            all(
                is_near(place.sights[name], one)
                for name, one in seen.items()
                if name in place.sights
            )
            for place in self.places
        )

    def _add_place(self, sights: dict[str, Corners]) -> None:
        heading_deg = (180.0 if self.target_is_left else 0.0) if self.step is Step.LINE else None
        name = f"place {len(self.places) + 1}"
        self.places.append(
            Place(name=name, stance=Stance.STANDING, sights=sights, heading_deg=heading_deg)
        )
        self.verdict = Verdict.TAKEN
        self._go_on()

    # What the coach does.

    def take_back(self) -> bool:
        """Take the last picture or place away.

        Returns:
            Whether there was one.
        """
        self.result = None
        if not self.taken:
            return False
        if self.step is Step.LENS and self.at is not None:
            self._of(self.at).seen.pop()
        else:
            self.places.pop()
        self._before.clear()
        self.verdict = Verdict.LOOKING
        self._go_on()
        return True

    def measure_lens(self, view: View) -> None:
        """Measure a lens anew."""
        self.lenses.pop(view, None)
        self._work.pop(view, None)
        self.result = None
        self._go_on()

    def know_view(self, hfov_deg: float) -> None:
        """Take a lens by how wide its picture looks, as its maker says: good for angles only.

        Raises:
            BadInputError: If no camera of a bay looks so wide; nothing was changed.
        """
        if self.at is not None:
            aim = self.by_view[self.at]
            lens = explained(lambda: lens_from_field_of_view(aim.setting, hfov_deg))
            self.use_lens(aim.view, lens)

    def use_lens(self, view: View, lens: Lens) -> None:
        """Take a lens that is known otherwise, as from its field of view."""
        self.lenses[view] = lens
        self._go_on()

    def turn_target(self, *, is_left: bool) -> None:
        """Say on which side the target is in the face-on picture."""
        self.target_is_left = is_left
        self.places = [
            Place(
                name=place.name,
                stance=place.stance,
                sights=place.sights,
                heading_deg=None if place.heading_deg is None else (180.0 if is_left else 0.0),
            )
            for place in self.places
        ]
        self.result = None
        self._go_on()

    # Working it out.

    def job(self) -> Callable[[Watch], Outcome]:
        """What works out what was taken; takes a few seconds, touches nothing here.

        It raises `BadInputError` where it can't be worked out: what was taken stays.
        """
        if self.step is Step.LENS:
            at = self.at
            assert at is not None
            seen, setting = tuple(self._of(at).seen), self.by_view[at].setting
            views = [LensView(name=f"picture {n + 1}", corners=c) for n, c in enumerate(seen)]
            return lambda watch: worked_out(lambda: calibrate_lens(views, setting), watch)
        places = tuple(self.places)
        lenses = {self.by_view[view].camera: lens for view, lens in self.lenses.items()}
        return lambda watch: worked_out(lambda: calibrate_bay(places, lenses), watch)

    def newest_lens(self) -> Lens | None:
        """The lens that was worked out last, once: it is to be kept."""
        newest, self._newest = self._newest, None
        return newest

    def take_outcome(self, outcome: Outcome) -> None:
        """Take up what was worked out."""
        if isinstance(outcome, LensResult):
            view = next(a.view for a in self.aims if a.camera == outcome.lens.setting.camera)
            self._of(view).result = outcome
            self.lenses[view] = self._newest = outcome.lens
        else:
            self.result = outcome
        self._go_on()

    def _go_on(self) -> None:
        lacking = [aim.view for aim in self.aims if aim.view not in self.lenses]
        self.at = lacking[0] if lacking else None
        before = self.step
        if lacking:
            self.step = Step.LENS
        elif not any(place.heading_deg is not None for place in self.places):
            self.step = Step.LINE
        else:
            self.step = Step.PLACES if self.result is None else Step.RESULT
        if self.step is not before:
            self.sights, self._before = {}, {}
        self.changed()

    def _of(self, view: View) -> _LensWork:
        return self._work.setdefault(view, _LensWork())
