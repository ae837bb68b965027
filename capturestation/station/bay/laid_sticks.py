"""Two sticks laid crosswise on the mat: their length, their marked ends, and what comes of them.

Owns the way from marks in the live pictures to the cameras' places, and what is marked next.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from calibration.lens import Lens
from calibration.standing import BayCalibration
from capturestation.errors import BadInputError
from capturestation.records import View, Watch
from capturestation.station.bay.aims import Aim
from capturestation.station.bay.marks import CROSSED, Marks
from capturestation.station.from_pictures import find_by_sticks

USUAL_M, LEAST_M, MOST_M = 1.22, 0.3, 3.0
"""48 inches; no shorter stick places a camera, and no longer one lies in its picture."""


class LaidSticks:
    """The two sticks.

    Attributes:
        marks: Their ends in the pictures.
        length_m: Of both.
    """

    def __init__(self) -> None:
        self.marks = Marks(CROSSED)
        self.length_m = USUAL_M

    def use_length(self, length_m: float) -> None:
        """Say how long both are.

        Raises:
            BadInputError: If no stick is; nothing was changed.
        """
        if not LEAST_M <= length_m <= MOST_M:
            raise BadInputError(
                f"Sticks of {length_m:g} m can't be measured with.",
                try_next=f"Enter their length in metres, {LEAST_M:g} to {MOST_M:g}.",
            )
        self.length_m = length_m

    def can_place(self, aims: Mapping[View, Aim]) -> bool:
        """Whether all ends are marked in every picture."""
        return bool(aims) and len(self.marks.whole(aims)) == len(aims)

    def next_words(self, aims: Mapping[View, Aim]) -> str:
        """What is to be done next: the last part of its text's key."""
        lacking = self.marks.first_lacking(aims)
        return "sticks.enough" if lacking is None else f"sticks.{lacking[1]}"

    def job(
        self, aims: Mapping[View, Aim], lenses: Mapping[View, Lens]
    ) -> Callable[[Watch], BayCalibration]:
        """What works out where the cameras stand; touches nothing here."""
        ends_px = {aim.camera: self.marks.pixels(v, aim.size_px) for v, aim in aims.items()}
        by_name = {aim.camera: lenses[view] for view, aim in aims.items()}
        length_m = self.length_m
        return lambda watch: find_by_sticks(ends_px, by_name, length_m, watch)
