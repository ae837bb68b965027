"""Where rays of several cameras meet, many points at once, and how pixels and cameras move it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from calibration.camera import Camera
from calibration.poses import camera_pose, cross_matrix
from calibration.projection import FloatArray, draw_with_slopes, unbend
from calibration.standing import PER_CAMERA

BoolArray: TypeAlias = NDArray[np.bool_]
LEAST_DEPTH_M = 0.05
_ROUNDS = 5
# Steps shrink a thousandfold each: from the rays' nearest point three are enough.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Met:
    """Where rays meet.

    Args:
        points_m: Shape (n, 3).
        own_m2: Covariance by the pixels, shape (n, 3, 3).
        by_bay: Slopes by all cameras' fifteen numbers, shape (n, 3, 15 k).
        misfit: How far rays miss each other, in standard errors, shape (n,).
        angle_deg: Widest angle between two rays, shape (n,).
        depth_m: Least depth before a camera that saw the point, shape (n,).
        cameras: How many saw it, shape (n,).
    """

    points_m: FloatArray
    own_m2: FloatArray
    by_bay: FloatArray
    misfit: FloatArray
    angle_deg: FloatArray
    depth_m: FloatArray
    cameras: NDArray[np.int64]


def camera_slopes(
    camera: Camera, points_m: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where a camera draws points, and how that changes.

    Args:
        camera: The camera.
        points_m: Shape (n, 3).

    Returns:
        Pixels (n, 2), slopes by the point (n, 2, 3) and by turn, place and lens (n, 2, 15).
    """
    turn, lens_m = camera_pose(camera)
    local = (points_m - lens_m) @ turn.T
    drawn, by_lens, by_local = draw_with_slopes(camera.lens_numbers, local)
    by_point = by_local @ turn
    by_turn = -by_local @ cross_matrix(local)
    return drawn, by_point, np.concatenate([by_turn, -by_point, by_lens], axis=-1)


def rays_of(camera: Camera, pixels: FloatArray) -> FloatArray:
    """Unit directions in the bay of pixels, shape (n, 3); NaN for missing pixels."""
    flat = unbend(camera.lens_numbers, pixels)
    rays = np.column_stack([flat, np.ones(len(flat))]) @ camera_pose(camera)[0]
    unit: FloatArray = rays / np.linalg.norm(rays, axis=1, keepdims=True)
    return unit


def meet(
    cameras: Sequence[Camera], pixels: FloatArray, spread_px2: FloatArray, covariance: FloatArray
) -> Met:
    """Where rays meet.

    Args:
        cameras: k of them.
        pixels: Shape (k, n, 2); NaN where a camera didn't see a point.
        spread_px2: Covariance of each pixel, shape (k, n, 2, 2).
        covariance: Of the cameras, shape (15 k, 15 k).
    """
    rays = np.stack([rays_of(camera, one) for camera, one in zip(cameras, pixels, strict=True)])
    finite = np.isfinite(rays).all(axis=2) & np.isfinite(spread_px2).all(axis=(2, 3))
    there: BoolArray = np.asarray(finite, dtype=bool)
    count = there.sum(axis=0)
    angle = _widest_deg(rays, there)
    points = _nearest(cameras, rays, there)
    depth = _least_depth(cameras, points, there)
    usable = (count >= 2) & (angle > 0.1) & (depth > LEAST_DEPTH_M)
    points = np.where(usable[:, None], points, np.nan)
    weights = np.where(there[..., None, None], np.linalg.inv(
        np.where(there[..., None, None], spread_px2, np.eye(2))), 0.0)  # fmt: skip
    seen = np.where(there[..., None], pixels, 0.0)
    normal = np.zeros((len(points), 3, 3))
    with np.errstate(invalid="ignore"):
        for _ in range(_ROUNDS):
            points, normal = _step(cameras, points, seen, weights)
    return _finished(cameras, (points, normal, there, seen), (weights, spread_px2), covariance,
                     angle)  # fmt: skip


def _widest_deg(rays: FloatArray, there: BoolArray) -> FloatArray:
    both = there[:, None] & there[None, :]
    cosines = np.abs(np.einsum("kni,lni->kln", np.nan_to_num(rays), np.nan_to_num(rays)))
    least = np.where(both, cosines, 1.0).min(axis=(0, 1))
    angle: FloatArray = np.degrees(np.arccos(np.clip(least, 0.0, 1.0)))
    return angle


def _nearest(cameras: Sequence[Camera], rays: FloatArray, there: BoolArray) -> FloatArray:
    """The points nearest to their rays, shape (n, 3)."""
    safe = np.nan_to_num(rays)
    across = (np.eye(3) - safe[..., :, None] * safe[..., None, :]) * there[..., None, None]
    lenses = np.array([camera.lens_m for camera in cameras])
    total = across.sum(axis=0) + 1e-12 * np.eye(3)
    pull = np.einsum("knij,kj->ni", across, lenses)
    point: FloatArray = np.linalg.solve(total, pull[..., None])[..., 0]
    return point


def _least_depth(cameras: Sequence[Camera], points: FloatArray, there: BoolArray) -> FloatArray:
    depths = []
    for camera, seen in zip(cameras, there, strict=True):
        turn, lens_m = camera_pose(camera)
        depths.append(np.where(seen, (points - lens_m) @ turn[2], np.inf))
    least: FloatArray = np.min(depths, axis=0)
    return least


def _step(
    cameras: Sequence[Camera], points: FloatArray, seen: FloatArray, weights: FloatArray
) -> tuple[FloatArray, FloatArray]:
    normal = np.zeros((len(points), 3, 3))
    pull = np.zeros((len(points), 3))
    for camera, pixels, weight in zip(cameras, seen, weights, strict=True):
        drawn, slopes, _ = camera_slopes(camera, points)
        held = np.nan_to_num(slopes.transpose(0, 2, 1) @ weight)
        normal += held @ np.nan_to_num(slopes)
        pull += np.einsum("nij,nj->ni", held, np.nan_to_num(pixels - drawn))
    empty = ~np.isfinite(points).all(axis=1)
    normal[empty] = np.eye(3)
    return points + np.linalg.solve(normal, pull[..., None])[..., 0], normal


def _finished(
    cameras: Sequence[Camera],
    state: tuple[FloatArray, FloatArray, BoolArray, FloatArray],
    errors: tuple[FloatArray, FloatArray],
    covariance: FloatArray,
    angle: FloatArray,
) -> Met:
    points, normal, there, seen = state
    weights, spread = errors
    count, sides = len(points), len(cameras)
    own = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    by_bay = np.zeros((count, 3, PER_CAMERA * sides))
    slopes = np.zeros((count, 2 * sides, 3))
    by_all = np.zeros((count, 2 * sides, PER_CAMERA * sides))
    total = np.broadcast_to(np.eye(2 * sides), (count, 2 * sides, 2 * sides)).copy()
    off = np.zeros((count, 2 * sides))
    for k, camera in enumerate(cameras):
        drawn, by_point, by_camera = (np.nan_to_num(p) for p in camera_slopes(camera, points))
        mine = there[k][:, None, None]
        rows, columns = slice(2 * k, 2 * k + 2), slice(PER_CAMERA * k, PER_CAMERA * (k + 1))
        gain = own @ by_point.transpose(0, 2, 1) @ weights[k]
        by_bay[..., columns] = -gain @ by_camera
        slopes[:, rows] = by_point * mine
        by_all[:, rows, columns] = by_camera * mine
        total[:, rows, rows] = np.where(mine, spread[k], np.eye(2))
        off[:, rows] = (seen[k] - drawn) * there[k][:, None]
    total = total + by_all @ covariance @ by_all.transpose(0, 2, 1)
    return Met(
        points_m=points,
        own_m2=own,
        by_bay=by_bay,
        misfit=_misfit(off, slopes, total, 2 * there.sum(axis=0) - 3),
        angle_deg=angle,
        depth_m=_least_depth(cameras, points, there),
        cameras=there.sum(axis=0),
    )


def _misfit(
    off: FloatArray, slopes: FloatArray, total: FloatArray, spare: NDArray[np.int64]
) -> FloatArray:
    """What no place of a point can take up, in standard errors of pixels and cameras together."""
    free = np.linalg.svd(slopes)[0][:, :, 3:]
    left = np.einsum("nij,ni->nj", free, off)
    within = free.transpose(0, 2, 1) @ total @ free
    size = np.einsum("ni,ni->n", left, np.linalg.solve(within, left[..., None])[..., 0])
    misfit: FloatArray = np.sqrt(size / np.maximum(spare, 1))
    return misfit
