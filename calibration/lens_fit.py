"""The lens's numbers from many views of one board, all solved together.

Owns the arithmetic: steps in closed form, the views' poses taken out of the equations first (so
that a hundred views cost little), large misfits held down, and the error of each number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calibration.corners import Corners
from calibration.hearing import round_done
from calibration.poses import cross_matrix, turned_by
from calibration.projection import FloatArray, draw, draw_with_slopes
from calibration.weighing import errors_of, held_down, usual_size

_ROUNDS = 60
_DONE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Views:
    """Views of a board, filled up to one length.

    Args:
        board_m: Shape (v, n, 3).
        pixels: Shape (v, n, 2).
        there: 1 where a corner was seen, shape (v, n).
    """

    board_m: FloatArray
    pixels: FloatArray
    there: FloatArray

    def some(self, which: Sequence[int]) -> Views:
        """Some of the views."""
        chosen = np.asarray(which, dtype=np.int64)
        return Views(
            board_m=self.board_m[chosen], pixels=self.pixels[chosen], there=self.there[chosen]
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A lens and where the board was, with what is left over.

    Args:
        lens: The nine numbers.
        turns: Board axes to camera axes, shape (v, 3, 3).
        shifts_m: Shape (v, 3).
        view_rms_px: Of both coordinates together, shape (v,).
        sigma_px: Of one coordinate.
        covariance: Of the nine numbers, shape (9, 9).
    """

    lens: FloatArray
    turns: FloatArray
    shifts_m: FloatArray
    view_rms_px: FloatArray
    sigma_px: float
    covariance: FloatArray


def together(seen: Sequence[Corners]) -> Views:
    """Put views of differing numbers of corners into one block."""
    most = max(len(one.ids) for one in seen)
    board, pixels = np.zeros((len(seen), most, 3)), np.zeros((len(seen), most, 2))
    there = np.zeros((len(seen), most))
    for place, one in enumerate(seen):
        count = len(one.ids)
        board[place, :count], pixels[place, :count] = one.on_board_m, one.pixels
        board[place, count:], pixels[place, count:] = board[place, 0], pixels[place, 0]
        there[place, :count] = 1.0
    return Views(board_m=board, pixels=pixels, there=there)


def first_guess(views: Views, size_px: tuple[int, int]) -> Fit:
    """A plain lens from the views' vanishing directions, and the board's places for it."""
    flat = [
        [part[t > 0].astype(np.float32) for part, t in zip(block, views.there, strict=True)]
        for block in (views.board_m, views.pixels)
    ]
    matrix = cv2.initCameraMatrix2D(flat[0], flat[1], size_px, 1.0)
    lens = np.array([matrix[0, 0], matrix[1, 1], matrix[0, 2], matrix[1, 2], *[0.0] * 5])
    if not (np.isfinite(lens).all() and 0.2 < lens[0] / max(size_px) < 20):
        lens[:4] = [max(size_px), max(size_px), 0.5 * size_px[0] - 0.5, 0.5 * size_px[1] - 0.5]
    return _placed_roughly(lens, views)


def placed_for(lens: FloatArray, views: Views) -> Fit:
    """Where the board was in each view, for a lens that stays."""
    return solve(views, _placed_roughly(lens, views), np.zeros((9, 0)))


def _placed_roughly(lens: FloatArray, views: Views) -> Fit:
    matrix = np.array([[lens[0], 0, lens[2]], [0, lens[1], lens[3]], [0, 0, 1.0]])
    turns, shifts = np.empty((len(views.there), 3, 3)), np.empty((len(views.there), 3))
    for place, there in enumerate(views.there > 0):
        _, turn, shift = cv2.solvePnP(
            views.board_m[place][there], views.pixels[place][there], matrix, lens[4:],
            flags=cv2.SOLVEPNP_IPPE,
        )  # fmt: skip
        turns[place], shifts[place] = cv2.Rodrigues(turn)[0], np.asarray(shift).ravel()
    return Fit(lens=lens, turns=turns, shifts_m=shifts, view_rms_px=np.zeros(len(turns)),
                sigma_px=0.0, covariance=np.zeros((9, 9)))  # fmt: skip


def solve(views: Views, start: Fit, free: FloatArray, *, hold: bool = True) -> Fit:
    """Bring lens and places to where the misfits are least, then once more without stray corners.

    Args:
        views: What was seen.
        start: Where to begin.
        free: Which steps of the nine numbers are free, one a column, shape (9, m).
        hold: Whether stray corners are held down; False gives plain least squares.
    """
    fit = _settled(views, start, free, 0.0)
    if not hold:
        return _finished(views, fit, free, 0.0)
    off = _misfits(views, fit)[views.there > 0]
    spare = 1.0 - (6 * len(views.there) + free.shape[1]) / off.size
    sigma = usual_size(off, spare)
    fit = _settled(views, fit, free, sigma)
    return _finished(views, fit, free, sigma)


def _settled(views: Views, start: Fit, free: FloatArray, sigma: float) -> Fit:
    fit, damping = start, 1e-6
    cost = _cost(views, fit, sigma)
    for _ in range(_ROUNDS):
        round_done()
        normal = _Normal.of(views, fit, free, sigma)
        moved, size = normal.step(fit, free, damping)
        now = _cost(views, moved, sigma)
        if now <= cost * (1.0 + 1e-12):
            settled = size < _DONE or cost - now <= 1e-9 * cost
            fit, cost, damping = moved, now, max(damping / 10, 1e-12)
            if settled:
                break
        else:
            damping *= 20
            if damping > 1e6:
                break
    return fit


def _misfits(views: Views, fit: Fit) -> FloatArray:
    local = np.einsum("vij,vnj->vni", fit.turns, views.board_m) + fit.shifts_m[:, None]
    drawn = draw(fit.lens, local)
    # A point that fell behind the lens is far off, not missing.
    off = np.where(np.isfinite(drawn), drawn - views.pixels, 1e4)
    misfits: FloatArray = off * views.there[..., None]
    return misfits


def _cost(views: Views, fit: Fit, sigma: float) -> float:
    return held_down(np.linalg.norm(_misfits(views, fit), axis=-1), sigma)[0]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Normal:
    """Normal equations with the views' poses apart from the lens."""

    lens: FloatArray
    poses: FloatArray
    both: FloatArray
    lens_pull: FloatArray
    pose_pull: FloatArray

    @staticmethod
    def of(views: Views, fit: Fit, free: FloatArray, sigma: float) -> _Normal:
        arm = np.einsum("vij,vnj->vni", fit.turns, views.board_m)
        pixels, by_lens, by_point = draw_with_slopes(fit.lens, arm + fit.shifts_m[:, None])
        off = np.nan_to_num(pixels - views.pixels) * views.there[..., None]
        weight = views.there * held_down(np.linalg.norm(off, axis=-1), sigma)[1]
        turn = -by_point @ cross_matrix(arm)
        pose = np.nan_to_num(np.concatenate([turn, by_point], axis=-1))
        slope = np.nan_to_num(by_lens) @ free
        weighed, count, rows = weight[..., None, None], len(views.there), 2 * weight.shape[1]
        pose_w = (pose * weighed).reshape(count, rows, 6)
        slope_w = (slope * weighed).reshape(count, rows, free.shape[1])
        pose, slope = pose.reshape(count, rows, 6), slope.reshape(count, rows, free.shape[1])
        miss = off.reshape(count, rows, 1)
        return _Normal(
            lens=(slope_w.transpose(0, 2, 1) @ slope).sum(axis=0),
            poses=pose_w.transpose(0, 2, 1) @ pose,
            both=slope_w.transpose(0, 2, 1) @ pose,
            lens_pull=(slope_w.transpose(0, 2, 1) @ miss).sum(axis=0)[:, 0],
            pose_pull=(pose_w.transpose(0, 2, 1) @ miss)[..., 0],
        )

    def reduced(self, poses: FloatArray, lens: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The lens's own equations once the poses follow it, and what takes them out."""
        out = np.asarray(np.linalg.solve(poses, self.both.transpose(0, 2, 1)), dtype=np.float64)
        taken: FloatArray = np.sum(self.both @ out, axis=0, dtype=np.float64)
        return lens - taken, out

    def step(self, fit: Fit, free: FloatArray, damping: float) -> tuple[Fit, float]:
        """The next place and how large the step to it is."""
        poses = self.poses + damping * _diagonal(self.poses) + 1e-12 * np.eye(6)
        own, out = self.reduced(poses, self.lens + damping * _diagonal(self.lens))
        pull = self.lens_pull - (out.transpose(0, 2, 1) @ self.pose_pull[..., None]).sum(0)[:, 0]
        by_lens = -np.linalg.lstsq(own, pull, rcond=1e-14)[0] if len(pull) else np.zeros(0)
        alone = -np.linalg.solve(poses, self.pose_pull[..., None])[..., 0]
        by_pose: FloatArray = np.asarray(alone - out @ by_lens, dtype=np.float64)
        turns = turned_by(by_pose[:, :3]) @ fit.turns
        lens = fit.lens + free @ by_lens
        moved = replace(fit, lens=lens, turns=turns, shifts_m=fit.shifts_m + by_pose[:, 3:])
        scale = np.maximum(np.abs(fit.lens), 1.0)
        return moved, float(max(np.abs(by_pose).max(), np.abs((free @ by_lens) / scale).max()))


def _diagonal(blocks: FloatArray) -> FloatArray:
    return blocks * np.eye(blocks.shape[-1])


def _finished(views: Views, fit: Fit, free: FloatArray, sigma: float) -> Fit:
    off = _misfits(views, fit)
    lengths = np.linalg.norm(off, axis=-1)
    weights = views.there * held_down(lengths, sigma)[1]
    spare = max(2.0 * weights.sum() - 6 * len(weights) - free.shape[1], 1.0)
    sigma_px = float(np.sqrt((weights * lengths**2).sum() / spare))
    covariance = np.zeros((9, 9))
    if free.shape[1]:
        normal = _Normal.of(views, fit, free, sigma)
        own, _ = normal.reduced(normal.poses, normal.lens)
        covariance = free @ errors_of(own) @ free.T * sigma_px**2
    return replace(
        fit,
        view_rms_px=np.sqrt((off**2).sum(axis=(1, 2)) / views.there.sum(axis=1)),
        sigma_px=sigma_px,
        covariance=covariance,
    )
