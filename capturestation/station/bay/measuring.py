"""Measuring where the cameras stand, step by step, without its window.

Owns what is looked for in the live pictures, when a picture is taken by itself, what is still
missing, and what may be taken back. What was taken stays while the window is open: nobody has to
begin anew who went to open a door. Corners are found, and cameras worked out, beside the window.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from calibration.advice import adds_something
from calibration.bay import calibrate_bay
from calibration.corners import Corners, Sight
from calibration.lens import (
    Lens,
    LensResult,
    calibrate_lens,
    lens_from_field_of_view,
)
from calibration.lens import View as LensView
from calibration.places import Place, Stance
from capturestation.records import FrameArray, View, Watch
from capturestation.station.bay.aims import (
    Aim,
    find_in,
    is_near,
    is_still,
)
from capturestation.station.bay.measuring_state import (
    Means,
    MeasuringState,
    Outcome,
    Step,
    Verdict,
)
from capturestation.station.beforehand import MOST_PLACES, Outlook, outlook
from capturestation.station.from_pictures import bay_board, explained, worked_out


class Measuring(MeasuringState):
    """The way from boards or sticks to places."""

    def __init__(self) -> None:
        super().__init__()
        self.sticks.marks.changed.tell(self._remarked)

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

    def put_away(self) -> None:
        """It is kept: whoever measures next begins with the line, lenses stay as they are.

        By then a camera may have been moved, and places of before would not go with new ones.
        """
        self.places, self.result = [], None
        self.sticks.marks.clear()
        self.verdict = Verdict.LOOKING
        self._go_on()

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
            needed = {View.FACE_ON}
        if not needed & set(there):
            # Seen down the line it is but an edge: who sees its face there looks from its front.
            is_odd = self.step is Step.LINE and bool(still)
            self.verdict = Verdict.EXCHANGED if is_odd else Verdict.LOOKING
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
            Place(name=name, stance=self.stance, sights=sights, heading_deg=heading_deg)
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
        elif self.means is Means.STICKS:
            self.sticks.marks.take_back()
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
        heading_deg = 180.0 if is_left else 0.0
        self.places = [
            place if place.heading_deg is None else replace(place, heading_deg=heading_deg)
            for place in self.places
        ]
        self.result = None
        self._go_on()

    def use_means(self, means: Means) -> None:
        """Measure with the board, or with two sticks; what was taken with either stays."""
        self.means = means
        self.result = None
        self._go_on()

    def lay_board(self, *, is_lying: bool) -> None:
        """Say that the board lies on its back at the next places, or stands on its foot."""
        self.stance = Stance.LYING if is_lying else Stance.STANDING
        self.changed()

    def use_square(self, square_mm: float) -> None:
        """Say how large the squares came out of the printer; what was taken is read so, too.

        Raises:
            BadInputError: If no board has such squares; nothing was changed.
        """
        self.board = board = bay_board(square_mm)
        self.places = [
            replace(place, sights={n: replace(one, board=board) for n, one in place.sights.items()})
            for place in self.places
        ]
        self.result = None
        self._go_on()

    def use_length(self, length_m: float) -> None:
        """Say how long both sticks are.

        Raises:
            BadInputError: If no stick is; nothing was changed.
        """
        self.sticks.use_length(length_m)
        self._remarked()

    def _remarked(self) -> None:
        """What was worked out of other marks holds no longer."""
        if self.means is Means.STICKS:
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
        if self.means is Means.STICKS:
            return self.sticks.job(self.by_view, self.lenses)
        places = tuple(self.places)
        lenses = {self.by_view[view].camera: lens for view, lens in self.lenses.items()}
        return lambda watch: worked_out(lambda: calibrate_bay(places, lenses), watch)

    def expecting(self) -> Callable[[], Outlook] | None:
        """What says which errors are to be expected; beside the window. None where none are."""
        if self.step not in (Step.LINE, Step.PLACES):
            return None
        places, board = tuple(self.places), self.board
        side = -1 if self.target_is_left else 1
        lenses = {self.by_view[view].camera: self.lenses[view] for view in self.by_view}
        return lambda: outlook(places, lenses, board, side=side, asked=MOST_PLACES)

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
        elif self.means is Means.STICKS:
            self.step = Step.STICKS if self.result is None else Step.RESULT
        elif not any(place.heading_deg is not None for place in self.places):
            self.step = Step.LINE
        else:
            self.step = Step.PLACES if self.result is None else Step.RESULT
        if self.step is not before:
            self.sights, self._before = {}, {}
        self.changed()
