"""All unknowns of a bay at once: where cameras, boards and marked points are.

Owns the joint adjustment: corners of boards and marked points in pictures, what is known of the mat
and the line, and the lenses within their own errors; its result carries one covariance.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from calibration.hearing import round_done
from calibration.lens import Lens
from calibration.poses import cross_matrix, turned_by
from calibration.projection import FloatArray, draw_with_slopes
from calibration.weighing import errors_of, held_down, usual_size

ROUNDS = 40
_LEAST_SIGMA_PX = 0.02
"""No corner is found better than this in a real picture; exact ones of a test would else rule."""
_BEHIND_PX = 1e4


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """Where everything is.

    Args:
        turns: World axes to camera axes, shape (k, 3, 3).
        lens_m: Places of the lenses, shape (k, 3).
        lenses: The lenses as they were found before.
        spreads: What one standard error each moves a lens by, `spread` of each.
        shares: How far each lens is off that, in its own errors; one array a camera.
        board_turns: Board axes to world axes, shape (b, 3, 3).
        board_m: Boards' origins, shape (b, 3).
        points_m: Marked points, shape (p, 3).
    """

    turns: FloatArray
    lens_m: FloatArray
    lenses: tuple[Lens, ...]
    spreads: tuple[FloatArray, ...]
    shares: tuple[FloatArray, ...]
    board_turns: FloatArray
    board_m: FloatArray
    points_m: FloatArray

    def lens(self, camera: int) -> FloatArray:
        """The nine numbers of a camera's lens as they stand."""
        off = self.spreads[camera] @ self.shares[camera]
        numbers: FloatArray = self.lenses[camera].numbers + off
        return numbers

    def on_board(self, board: int, local_m: FloatArray) -> FloatArray:
        """Points of a board in the bay."""
        points: FloatArray = local_m @ self.board_turns[board].T + self.board_m[board]
        return points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardSeen:
    """A board's corners in a camera's picture."""

    camera: int
    board: int
    local_m: FloatArray
    pixels: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PointsSeen:
    """Marked points in a camera's picture, by their numbers."""

    camera: int
    points: tuple[int, ...]
    pixels: FloatArray
    u_px: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """What is known of points along one axis of the bay: of a board's if `board` is given.

    Args:
        axis: Unit vector, shape (3,).
        value_m: Where they lie along it.
        u_m: How well that is known.
        board: Which board; None for marked points.
        local_m: The board's points, shape (m, 3).
        points: Numbers of marked points, each held by itself.
        shares: If given, only the points' sum with these shares is held.
    """

    axis: FloatArray
    value_m: float
    u_m: float
    board: int | None = None
    local_m: FloatArray | None = None
    points: tuple[int, ...] = ()
    shares: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """Two marked points whose distance is known."""

    first: int
    second: int
    length_m: float
    u_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """All that is known."""

    boards: tuple[BoardSeen, ...] = ()
    points: tuple[PointsSeen, ...] = ()
    held: tuple[Held, ...] = ()
    apart: tuple[Apart, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solved:
    """Where everything is, how well that is known and what is left over.

    Args:
        scene: As adjusted.
        covariance: Of all cameras, 15 each: turn, place of the lens, nine numbers.
        sigma_px: Of one coordinate of a board's corner.
        board_rms_px: For each of the evidence's boards, of both coordinates together.
        point_rms_px: The same of marked points.
    """

    scene: Scene
    covariance: FloatArray
    sigma_px: float
    board_rms_px: tuple[float, ...]
    point_rms_px: tuple[float, ...]


def spread(lens: Lens) -> FloatArray:
    """Columns whose sum of squares is the lens's covariance, shape (9, r)."""
    scale = np.sqrt(np.maximum(np.diagonal(lens.covariance), 0.0))
    safe = np.where(scale > 0, scale, 1.0)
    values, vectors = np.linalg.eigh(lens.covariance / safe[:, None] / safe[None, :])
    kept = values > 1e-9 * max(float(values.max(initial=0.0)), 1e-300)
    columns: FloatArray = safe[:, None] * vectors[:, kept] * np.sqrt(values[kept])
    return columns


def settle(
    scene: Scene, evidence: Evidence, *, sigma_px: float | None = None, rounds: int = ROUNDS
) -> Solved:
    """Bring everything to where the misfits are least.

    Args:
        scene: Where to begin.
        evidence: What is known.
        sigma_px: Of a corner; found from the misfits if it is not given.
        rounds: Steps at most, each time that the corners' sigma is found anew: three times, or
            twice where few steps are asked for.
    """
    work = _Columns.of(scene)
    sigma = 0.1 if sigma_px is None else sigma_px
    times = 3 if rounds >= ROUNDS else 2
    for _ in range(1 if sigma_px is not None else times):
        scene = _descend(scene, evidence, (work, sigma), rounds)
        if sigma_px is None and evidence.boards:
            sigma = _corner_sigma(scene, evidence, work)
    normal = _equations(scene, evidence, work, sigma)[0]
    return Solved(
        scene=scene,
        covariance=_of_cameras(scene, errors_of(normal), work),
        sigma_px=sigma,
        board_rms_px=tuple(_rms(scene, one) for one in evidence.boards),
        point_rms_px=tuple(_rms(scene, one) for one in evidence.points),
    )


def misfit(scene: Scene, evidence: Evidence, sigma_px: float) -> float:
    """Sum of squares of all misfits, each in its own sigma."""
    return _equations(scene, evidence, _Columns.of(scene), sigma_px)[2]


def known(scene: Scene, evidence: Evidence, sigma_px: float) -> FloatArray:
    """The covariance of all cameras that this evidence gives, without any adjustment."""
    work = _Columns.of(scene)
    normal = _equations(scene, evidence, work, sigma_px)[0]
    return _of_cameras(scene, errors_of(normal), work)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Columns:
    """Which unknowns stand in which columns."""

    cameras: tuple[slice, ...]
    boards: tuple[slice, ...]
    points: tuple[slice, ...]
    count: int

    @staticmethod
    def of(scene: Scene) -> _Columns:
        sizes = [6 + len(share) for share in scene.shares]
        sizes += [6] * len(scene.board_m) + [3] * len(scene.points_m)
        ends = np.cumsum([0, *sizes]).tolist()
        slices = [slice(a, b) for a, b in itertools.pairwise(ends)]
        cameras, boards = len(scene.shares), len(scene.board_m)
        return _Columns(
            cameras=tuple(slices[:cameras]),
            boards=tuple(slices[cameras : cameras + boards]),
            points=tuple(slices[cameras + boards :]),
            count=ends[-1],
        )


Rows = tuple[FloatArray, FloatArray, float]


def _descend(scene: Scene, evidence: Evidence, how: tuple[_Columns, float], rounds: int) -> Scene:
    work, sigma = how
    damping = 1e-6
    normal, pull, cost = _equations(scene, evidence, work, sigma)
    for _ in range(rounds):
        round_done()
        grown = normal + np.diag(damping * np.diagonal(normal) + 1e-12)
        scale = 1.0 / np.sqrt(np.diagonal(grown))
        step = -scale * np.linalg.solve(grown * scale[:, None] * scale[None, :], scale * pull)
        moved = _moved(scene, step, work)
        there = _equations(moved, evidence, work, sigma)
        if there[2] <= cost * (1 + 1e-12):
            done = np.abs(step).max() < 1e-9 or cost - there[2] < 1e-9 * cost
            scene, (normal, pull, cost), damping = moved, there, max(damping / 10, 1e-12)
            if done:
                break
        else:
            damping *= 20
            if damping > 1e8:
                break
    return scene


def _moved(scene: Scene, step: FloatArray, work: _Columns) -> Scene:
    cameras = [step[one] for one in work.cameras]
    boards = np.array([step[one] for one in work.boards]).reshape(-1, 6)
    points = np.array([step[one] for one in work.points]).reshape(-1, 3)
    turn = np.array([one[:3] for one in cameras])
    return replace(
        scene,
        turns=turned_by(turn) @ scene.turns,
        lens_m=scene.lens_m + np.array([one[3:6] for one in cameras]),
        shares=tuple(a + one[6:] for a, one in zip(scene.shares, cameras, strict=True)),
        board_turns=turned_by(boards[:, :3]) @ scene.board_turns if len(boards) else boards,
        board_m=scene.board_m + boards[:, 3:],
        points_m=scene.points_m + points,
    )


def _equations(scene: Scene, evidence: Evidence, work: _Columns, sigma: float) -> Rows:
    """Normal equations, pull and cost."""
    normal, pull, cost = np.zeros((work.count, work.count)), np.zeros(work.count), 0.0
    for columns, slope, off, held in _rows(scene, evidence, work, sigma):
        if held:
            part, weights = held_down(np.linalg.norm(off.reshape(-1, 2), axis=1), 1.0)
            weighed = slope * np.repeat(weights, 2)[:, None]
        else:
            part, weighed = float((off**2).sum()), slope
        own = weighed.T @ slope
        own_pull = weighed.T @ off
        at = 0
        for first in columns:
            rows = slice(at, at + first.stop - first.start)
            pull[first] += own_pull[rows]
            to = 0
            for second in columns:
                across = slice(to, to + second.stop - second.start)
                normal[first, second] += own[rows, across]
                to = across.stop
            at = rows.stop
        cost += part
    return normal, pull, cost


_Row = tuple[tuple[slice, ...], FloatArray, FloatArray, bool]


def _rows(scene: Scene, evidence: Evidence, work: _Columns, sigma: float) -> Iterator[_Row]:
    """Columns, slopes in them, misfits in their own sigma, and whether large ones are held down."""
    for seen in evidence.boards:
        off, by_camera, by_world = _drawn(
            scene, seen.camera, scene.on_board(seen.board, seen.local_m), seen.pixels
        )
        by_board = _by_board(scene, seen.board, seen.local_m, by_world)
        columns = (work.cameras[seen.camera], work.boards[seen.board])
        yield columns, np.hstack([by_camera, by_board]) / sigma, off / sigma, True
    for marks in evidence.points:
        chosen = list(marks.points)
        off, by_camera, by_world = _drawn(scene, marks.camera, scene.points_m[chosen], marks.pixels)
        for place, point in enumerate(chosen):
            rows = slice(2 * place, 2 * place + 2)
            slope = np.hstack([by_camera[rows], by_world[place]]) / marks.u_px
            columns = (work.cameras[marks.camera], work.points[point])
            yield columns, slope, off[rows] / marks.u_px, False
    yield from _known_rows(scene, evidence, work)


def _known_rows(scene: Scene, evidence: Evidence, work: _Columns) -> Iterator[_Row]:
    for camera, share in enumerate(scene.shares):
        columns = work.cameras[camera]
        yield (slice(columns.start + 6, columns.stop),), np.eye(len(share)), share, False
    for held in evidence.held:
        local = held.local_m
        if held.board is not None and local is not None:
            off = scene.on_board(held.board, local) @ held.axis - held.value_m
            along = np.repeat(held.axis[None, None], len(local), axis=0)
            slope = _by_board(scene, held.board, local, along)
            yield (work.boards[held.board],), slope / held.u_m, off / held.u_m, False
        yield from _held_points(scene, held, work)
    for pair in evidence.apart:
        between = scene.points_m[pair.second] - scene.points_m[pair.first]
        length = float(np.linalg.norm(between))
        along = between[None] / length / pair.u_m
        both = (work.points[pair.first], work.points[pair.second])
        off = np.array([(length - pair.length_m) / pair.u_m])
        yield both, np.hstack([-along, along]), off, False


def _held_points(scene: Scene, held: Held, work: _Columns) -> Iterator[_Row]:
    along = scene.points_m[list(held.points)] @ held.axis
    if held.shares is not None:
        columns = tuple(work.points[point] for point in held.points)
        slope = np.concatenate([share * held.axis for share in held.shares])[None]
        off = np.array([along @ np.array(held.shares) - held.value_m])
        yield columns, slope / held.u_m, off / held.u_m, False
        return
    for point, at in zip(held.points, along, strict=True):
        off = np.array([at - held.value_m])
        yield (work.points[point],), held.axis[None] / held.u_m, off / held.u_m, False


def _by_board(scene: Scene, board: int, local: FloatArray, by_world: FloatArray) -> FloatArray:
    arm = local @ scene.board_turns[board].T
    by_turn = -by_world @ cross_matrix(arm)
    slopes: FloatArray = np.concatenate([by_turn, by_world], axis=-1).reshape(-1, 6)
    return slopes


def _drawn(
    scene: Scene, camera: int, points_m: FloatArray, pixels: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Misfits (2n,), slopes by the camera (2n, 6 + r) and by the points (n, 2, 3)."""
    turn = scene.turns[camera]
    local = (points_m - scene.lens_m[camera]) @ turn.T
    drawn, by_lens, by_local = draw_with_slopes(scene.lens(camera), local)
    off = np.where(np.isfinite(drawn), drawn - pixels, _BEHIND_PX).ravel()
    by_local, by_lens = np.nan_to_num(by_local), np.nan_to_num(by_lens)
    by_world = by_local @ turn
    by_turn = -by_local @ cross_matrix(local)
    by_share = by_lens @ scene.spreads[camera]
    by_camera = np.concatenate([by_turn, -by_world, by_share], axis=-1)
    return off, by_camera.reshape(off.size, -1), by_world


def _corner_sigma(scene: Scene, evidence: Evidence, work: _Columns) -> float:
    off = np.concatenate([
        _drawn(scene, one.camera, scene.on_board(one.board, one.local_m), one.pixels)[0]
        for one in evidence.boards
    ])  # fmt: skip
    spare = 1.0 - min(0.9, work.count / off.size)
    usual = usual_size(off, spare)
    _, weights = held_down(np.linalg.norm(off.reshape(-1, 2), axis=1), usual)
    total = float((np.repeat(weights, 2) * off**2).sum())
    return max(float(np.sqrt(total / (2 * weights.sum() * spare))), _LEAST_SIGMA_PX)


def _rms(scene: Scene, one: BoardSeen | PointsSeen) -> float:
    if isinstance(one, BoardSeen):
        at = scene.on_board(one.board, one.local_m)
    else:
        at = scene.points_m[list(one.points)]
    off = _drawn(scene, one.camera, at, one.pixels)[0]
    return float(np.sqrt(2.0 * (off**2).mean()))


def _of_cameras(scene: Scene, covariance: FloatArray, work: _Columns) -> FloatArray:
    """Fifteen rows and columns a camera: turn, place of the lens, nine numbers."""
    cameras = len(work.cameras)
    out = np.zeros((15 * cameras, work.count))
    for camera, columns in enumerate(work.cameras):
        first = columns.start
        out[15 * camera : 15 * camera + 6, first : first + 6] = np.eye(6)
        rows = slice(15 * camera + 6, 15 * camera + 15)
        out[rows, first + 6 : columns.stop] = scene.spreads[camera]
    return out @ covariance @ out.T
