"""The lens of a camera: focal length, centre and bend with their errors, from pictures of a board.

How much bend is described is chosen by views that the fit hasn't seen. A view that doesn't fit is
named and left out. A lens belongs to one camera, picture size, zoom and mounting; with any other it
is refused.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from calibration.advice import Coverage, lens_coverage
from calibration.corners import Corners
from calibration.errors import CalibrationError
from calibration.lens_fit import Fit, Views, first_guess, placed_for, solve, together
from calibration.projection import FloatArray, check_finite

LEAST_VIEWS = 5
FOLDS = 4
BAD_TIMES_MEDIAN = 3.0
"""A view this far over the median view isn't of the same lens, or its corners are wrong."""
LARGEST_BAD_SHARE = 0.34
WORST_FOCAL_SHARE = 0.03
"""A focal length known no better than this comes from views that all look alike."""
LARGEST_RMS_SHARE = 0.00035
"""Of the picture's width; 0.45 px of 1280. Sharp pictures of one lens leave a third of that."""


class LensModel(StrEnum):
    """Which terms of bend are free."""

    PLAIN = "no bend"
    K1 = "k1"
    K1_K2 = "k1 k2"
    SIDEWAYS = "k1 k2 p1 p2"
    FULL = "k1 k2 p1 p2 k3"


_FREE_TERMS = {
    LensModel.PLAIN: (),
    LensModel.K1: (4,),
    LensModel.K1_K2: (4, 5),
    LensModel.SIDEWAYS: (4, 5, 6, 7),
    LensModel.FULL: (4, 5, 6, 7, 8),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a lens belongs to.

    Args:
        camera: The camera's name.
        size_px: Width and height of its pictures.
        zoom: Zoom or lens in use, in the coach's words.
        mounting: How it is mounted: level or upright.
    """

    camera: str
    size_px: tuple[int, int]
    zoom: str = ""
    mounting: str = "level"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lens:
    """A lens with the error of each number.

    Args:
        setting: What it belongs to.
        numbers: fx, fy, cx, cy, k1, k2, p1, p2, k3, shape (9,).
        covariance: Of these, shape (9, 9); zero where a number was held.
        model: Which terms were free; None for a lens known only by its field of view.
        rms_px: What was left over, of one coordinate.
    """

    setting: Setting
    numbers: FloatArray
    covariance: FloatArray
    model: LensModel | None
    rms_px: float

    def __post_init__(self) -> None:
        if self.numbers.shape != (9,) or self.covariance.shape != (9, 9):
            raise CalibrationError(
                f"A lens has 9 numbers and their 9 x 9 errors, got {self.numbers.shape} and "
                f"{self.covariance.shape}.",
                try_next="Calibrate the lens again.",
            )
        check_finite(f"Lens of {self.setting.camera}", self.numbers)
        check_finite(f"Errors of the lens of {self.setting.camera}", self.covariance)

    @property
    def u(self) -> FloatArray:
        """Standard error of each number, shape (9,)."""
        errors: FloatArray = np.sqrt(np.maximum(np.diagonal(self.covariance), 0.0))
        return errors

    @property
    def hfov_deg(self) -> float:
        """How wide the picture looks, without its bend."""
        return math.degrees(2 * math.atan(0.5 * self.setting.size_px[0] / self.numbers[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One picture of the board, by its name."""

    name: str
    corners: Corners


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewFit:
    """How well one picture fits: of both coordinates together."""

    name: str
    rms_px: float
    used: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LensResult:
    """A lens and how it was come by.

    Args:
        lens: The lens.
        held_out_px: Misfit of views that a fit hadn't seen, of one coordinate, by model.
        views: Every picture's fit.
        bad: Names of pictures that were left out.
        coverage: Where in the picture the board was seen.
    """

    lens: Lens
    held_out_px: Mapping[LensModel, float]
    views: tuple[ViewFit, ...]
    bad: tuple[str, ...]
    coverage: Coverage


def calibrate_lens(
    views: Sequence[View],
    setting: Setting,
    *,
    models: Sequence[LensModel] = tuple(LensModel),
    square_pixels: bool = False,
) -> LensResult:
    """Find a lens from pictures of one board.

    Args:
        views: At least five, tilted in different ways.
        setting: What the lens belongs to.
        models: Which to choose from.
        square_pixels: Hold both focal lengths equal.

    Raises:
        CalibrationError: If there are too few, they are all parallel, of another size, of several
            lenses, or hold what is not a number. Nothing is changed.
    """
    _check_views(views, setting)
    used, bad = list(range(len(views))), list[int]()
    block = together([view.corners for view in views])
    model, held_out = _choose(block, setting, models, square_pixels=square_pixels)
    free = free_steps(model, square_pixels=square_pixels)
    while True:
        fit = _fitted(block.some(used), setting, free)
        worst = int(np.argmax(fit.view_rms_px))
        if fit.view_rms_px[worst] <= BAD_TIMES_MEDIAN * np.median(fit.view_rms_px):
            break
        bad.append(used.pop(worst))
        _check_enough_left(views, used, bad)
    _check_known(fit, setting)
    lens = Lens(setting=setting, numbers=fit.lens, covariance=fit.covariance, model=model,
                rms_px=fit.sigma_px)  # fmt: skip
    every = placed_for(fit.lens, block)
    fits = tuple(
        ViewFit(name=view.name, rms_px=float(every.view_rms_px[place]), used=place in used)
        for place, view in enumerate(views)
    )
    return LensResult(
        lens=lens,
        held_out_px=held_out,
        views=fits,
        bad=tuple(views[place].name for place in sorted(bad)),
        coverage=lens_coverage([views[place].corners for place in used]),
    )


def free_steps(model: LensModel, *, square_pixels: bool) -> FloatArray:
    """Which steps of the nine numbers are free, one a column."""
    columns = [[0, 1]] if square_pixels else [[0], [1]]
    columns += [[place] for place in (2, 3, *_FREE_TERMS[model])]
    steps: FloatArray = np.zeros((9, len(columns)))
    for column, rows in enumerate(columns):
        steps[rows, column] = 1.0
    return steps


def _fitted(block: Views, setting: Setting, free: FloatArray) -> Fit:
    """A plain lens first, so that bend and focal length don't start by mistaking each other."""
    start = first_guess(block, setting.size_px)
    bends = free[4:].sum(axis=0) > 0
    start = solve(block, start, free[:, ~bends])
    return solve(block, start, free) if bends.any() else start


def _choose(
    block: Views, setting: Setting, models: Sequence[LensModel], *, square_pixels: bool
) -> tuple[LensModel, dict[LensModel, float]]:
    """The simplest model that is no worse on unseen views than the best, within its own noise."""
    if len(models) == 1:
        return models[0], {}
    folds = [list(range(fold, len(block.there), FOLDS)) for fold in range(FOLDS)]
    every = range(len(block.there))
    seen = [block.some([place for place in every if place not in fold]) for fold in folds]
    fits = [first_guess(part, setting.size_px) for part in seen]
    squares: dict[LensModel, FloatArray] = {}
    for model in models:
        free = free_steps(model, square_pixels=square_pixels)
        left = np.empty(len(block.there))
        for fold, unseen in enumerate(folds):
            fits[fold] = solve(seen[fold], fits[fold], free)
            fit = fits[fold]
            left[unseen] = 0.5 * placed_for(fit.lens, block.some(unseen)).view_rms_px ** 2
        squares[model] = left
    # A spoilt view isn't left out yet: it must not choose for all others.
    best = min(models, key=lambda model: float(np.median(squares[model])))
    fair = squares[best] <= (BAD_TIMES_MEDIAN**2) * np.median(squares[best])
    for model in models:
        worse = squares[model][fair] - squares[best][fair]
        noise = float(worse.std(ddof=1)) / math.sqrt(len(worse))
        if worse.mean() <= max(noise, 0.01 * float(squares[best][fair].mean())):
            best = model
            break
    return best, {one: float(np.sqrt(left[fair].mean())) for one, left in squares.items()}


def _check_views(views: Sequence[View], setting: Setting) -> None:
    if len(views) < LEAST_VIEWS:
        raise CalibrationError(
            f"{len(views)} pictures of the board are too few for a lens.",
            try_next=f"Take at least {LEAST_VIEWS}, better a dozen, tilted in different ways.",
        )
    for view in views:
        if view.corners.size_px != setting.size_px:
            raise CalibrationError(
                f"{view.name} is {_by(view.corners.size_px)} and the camera's pictures are "
                f"{_by(setting.size_px)}.",
                try_next="Use pictures of one size only, of the size that swings are filmed in.",
            )
        if view.corners.board != views[0].corners.board:
            raise CalibrationError(
                f"{view.name} shows another board than {views[0].name}.",
                try_next="Use pictures of one board only.",
            )
        check_finite(view.name, view.corners.pixels)


def _check_enough_left(views: Sequence[View], used: list[int], bad: list[int]) -> None:
    if len(bad) > LARGEST_BAD_SHARE * len(views) or len(used) < LEAST_VIEWS:
        names = ", ".join(views[place].name for place in sorted(bad))
        raise CalibrationError(
            f"The pictures don't fit one lens: {names} stand apart.",
            try_next="Use pictures of one camera at one zoom and focus, taken in one go.",
        )


def _check_known(fit: Fit, setting: Setting) -> None:
    if fit.sigma_px > LARGEST_RMS_SHARE * max(setting.size_px):
        raise CalibrationError(
            f"The pictures don't fit one lens: {fit.sigma_px:.2f} px are left over.",
            try_next="Use pictures of one camera at one zoom and focus, taken in one go.",
        )
    focal, centre = fit.lens[:2], fit.lens[2:4]
    share = float(np.sqrt(fit.covariance[0, 0]) / abs(focal[0]))
    outside = (centre < 0).any() or (centre > np.asarray(setting.size_px)).any()
    if share > WORST_FOCAL_SHARE or outside or (focal <= 0).any():
        raise CalibrationError(
            "All pictures show the board from much the same side, so focal length and distance "
            "can't be told apart.",
            try_next="Tilt the board by 20 to 45 degrees, sideways and up or down.",
        )


def lens_from_field_of_view(setting: Setting, hfov_deg: float, *, share: float = 0.05) -> Lens:
    """A lens of which only the field of view is known, as from a maker's sheet.

    Args:
        setting: What it belongs to.
        hfov_deg: How wide its picture looks.
        share: How well the focal length is known by it.
    """
    if not 5 <= hfov_deg <= 150:
        raise CalibrationError(
            f"A field of view of {hfov_deg:g} degrees across is none of a camera of the bay.",
            try_next="Enter degrees across the picture, 30 to 100 as a rule.",
        )
    width, height = setting.size_px
    focal = 0.5 * width / math.tan(math.radians(0.5 * hfov_deg))
    numbers = np.array([focal, focal, 0.5 * width - 0.5, 0.5 * height - 0.5, *[0.0] * 5])
    covariance = np.diag([0, 0, (0.01 * width) ** 2, (0.01 * width) ** 2, 0.0025, *[0.0] * 4])
    covariance[:2, :2] = (share * focal) ** 2
    return Lens(setting=setting, numbers=numbers, covariance=covariance, model=None, rms_px=0.0)


def check_setting(lens: Lens, setting: Setting) -> None:
    """Refuse a lens that was found for another camera, picture size, zoom or mounting.

    Raises:
        CalibrationError: With both values.
    """
    had, now = lens.setting, setting
    pairs = (
        ("camera", had.camera, now.camera),
        ("picture size", _by(had.size_px), _by(now.size_px)),
        ("zoom", had.zoom or "as it is", now.zoom or "as it is"),
        ("mounting", had.mounting, now.mounting),
    )
    for what, then, today in pairs:
        if then != today:
            raise CalibrationError(
                f"This lens was found for another {what}: {then}, and it is {today} now.",
                try_next="Set the camera as it was, or calibrate the lens as it is now.",
            )


def _by(size_px: tuple[int, int]) -> str:
    return f"{size_px[0]} x {size_px[1]}"
