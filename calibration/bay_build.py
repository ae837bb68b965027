"""Puts the unknowns of a bay together: rough places in its axes, and what is known of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from calibration.camera import Camera
from calibration.chaining import Chain, chain
from calibration.errors import CalibrationError
from calibration.lens import Lens
from calibration.places import LineStick, Place, Stance, Surroundings
from calibration.poses import pose_rows
from calibration.projection import FloatArray, unbend
from calibration.scene import BoardSeen, Evidence, Held, PointsSeen, Scene, spread

STICK_RADIUS_M, STICK_U_M = 0.004, 0.0015
"""Half a stick's thickness, and how flat it lies."""
EXACT_M = 0.0001
"""What is so by definition: the line, the mat mark."""
LEAST_SPREAD_M = 0.08
ACROSS_Z = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Built:
    """A bay ready to be adjusted.

    Args:
        scene: Where everything is, roughly.
        evidence: What is known.
        sights: Place and camera of each of the evidence's boards.
    """

    scene: Scene
    evidence: Evidence
    sights: tuple[tuple[str, str], ...]


def build(places: Sequence[Place], lenses: Mapping[str, Lens], known: Surroundings) -> Built:
    """Put a bay together.

    Raises:
        CalibrationError: If cameras don't share a place, or the ground can't be told.
    """
    names = [name for name in lenses if any(name in place.sights for place in places)]
    rough = chain({place.name: place.sights for place in places}, lenses)
    axes = _bay_from_first(places, rough, lenses, known)
    cameras = [axes @ rough.cameras[name] for name in names]
    stood = [axes @ rough.boards[place.name] for place in places]
    return put(places, {name: lenses[name] for name in names}, known, (cameras, stood))


def put(
    places: Sequence[Place],
    lenses: Mapping[str, Lens],
    known: Surroundings,
    poses: tuple[Sequence[FloatArray], Sequence[FloatArray]],
) -> Built:
    """Unknowns and evidence, for cameras and boards that stand somewhere.

    Args:
        places: What was seen.
        lenses: Of the cameras, in their order.
        known: Stick, line and ground.
        poses: `world_from_camera` of each lens and `world_from_board` of each place.
    """
    (cameras, stood), names = poses, list(lenses)
    stick, spreads = known.stick, tuple(spread(lenses[name]) for name in names)
    scene = Scene(
        turns=np.array([pose[:3, :3].T for pose in cameras]),
        lens_m=np.array([pose[:3, 3] for pose in cameras]),
        lenses=tuple(lenses[name] for name in names),
        spreads=spreads,
        shares=tuple(np.zeros(one.shape[1]) for one in spreads),
        board_turns=np.array([pose[:3, :3] for pose in stood]),
        board_m=np.array([pose[:3, 3] for pose in stood]),
        points_m=np.zeros((0, 3)) if stick is None else stick_ends_m(stick),
    )
    seen = [(number, name) for number, place in enumerate(places) for name in place.sights]
    boards = [
        BoardSeen(camera=names.index(name), board=number, local_m=sight.on_board_m,
                  pixels=sight.pixels)
        for number, name in seen for sight in (places[number].sights[name],)
    ]  # fmt: skip
    held = [part for number, place in enumerate(places) for part in _held(number, place, known)]
    marks = () if stick is None else tuple(
        PointsSeen(camera=names.index(name), points=(0, 1), pixels=ends, u_px=stick.u_px)
        for name, ends in stick.ends_px.items() if name in names
    )  # fmt: skip
    return Built(
        scene=scene,
        evidence=Evidence(
            boards=tuple(boards), points=marks, held=(*held, *_held_stick(places, stick))
        ),
        sights=tuple((places[number].name, name) for number, name in seen),
    )


def placed_cameras(scene: Scene) -> tuple[Camera, ...]:
    """The cameras as a scene has them."""
    cameras = []
    for place, lens in enumerate(scene.lenses):
        numbers = [float(number) for number in scene.lens(place)]
        cameras.append(
            Camera(
                name=lens.setting.camera,
                size_px=lens.setting.size_px,
                focal_px=(numbers[0], numbers[1]),
                centre_px=(numbers[2], numbers[3]),
                distortion=tuple(numbers[4:]),
                world_from_camera=pose_rows(scene.turns[place], scene.lens_m[place]),
            )
        )
    return tuple(cameras)


def stick_ends_m(stick: LineStick) -> FloatArray:
    """Where a stick's ends lie as laid, rear then front, shape (2, 3)."""
    rear = -stick.mark_m
    return np.array(
        [[rear, stick.offset_m, STICK_RADIUS_M],
         [rear + stick.length_m, stick.offset_m, STICK_RADIUS_M]]
    )  # fmt: skip


def _on_ground(place: Place) -> FloatArray:
    """Points of a place's board that touch the mat, in the board's axes."""
    board = next(iter(place.sights.values())).board
    return board.foot_m if place.stance is Stance.STANDING else board.outline_m


def _held(number: int, place: Place, known: Surroundings) -> list[Held]:
    """What is known of one place: it touches the ground, and may give line and mark."""
    board = next(iter(place.sights.values())).board
    held = [
        Held(axis=ACROSS_Z, value_m=0.0, u_m=0.001 * known.ground_u_mm, board=number,
             local_m=_on_ground(place))
    ]  # fmt: skip
    if place.heading_deg is not None:
        along = _heading(place.heading_deg)
        across = np.cross(ACROSS_Z, along)
        middle = board.foot_m.mean(axis=0, keepdims=True)
        for axis, points in ((across, board.foot_m), (along, middle)):
            held.append(Held(axis=axis, value_m=0.0, u_m=EXACT_M, board=number, local_m=points))
    return held


def _held_stick(places: Sequence[Place], stick: LineStick | None) -> tuple[Held, ...]:
    """What is known of the stick's ends: they lie on the mat, and may give line and mark."""
    if stick is None:
        return ()
    held = [Held(axis=ACROSS_Z, value_m=STICK_RADIUS_M, u_m=STICK_U_M, points=(0, 1))]
    if all(place.heading_deg is None for place in places):
        along, left = np.eye(3)[:2]
        held += [
            Held(axis=left, value_m=stick.offset_m, u_m=EXACT_M, points=(0, 1)),
            Held(axis=along, value_m=-stick.mark_m, u_m=EXACT_M, points=(0,)),
        ]
    return tuple(held)


def _heading(heading_deg: float) -> FloatArray:
    angle = np.radians(heading_deg)
    return np.array([np.cos(angle), np.sin(angle), 0.0])


def _bay_from_first(
    places: Sequence[Place], rough: Chain, lenses: Mapping[str, Lens], known: Surroundings
) -> FloatArray:
    """From the first camera's axes to the bay's: ground, then line, then mark."""
    up, ground = _ground(places, rough)
    line = next((place for place in places if place.heading_deg is not None), None)
    if line is not None:
        pose = rough.boards[line.name]
        foot = next(iter(line.sights.values())).board.foot_m @ pose[:3, :3].T + pose[:3, 3]
        along, mark, heading = foot[1] - foot[0], foot.mean(axis=0), line.heading_deg or 0.0
    else:
        along, mark = _stick_in_first(rough, lenses, known, up, ground)
        heading = 0.0
    along = along - (along @ up) * up
    along = along / np.linalg.norm(along)
    left = np.cross(up, along)
    turn = np.radians(heading)
    ahead = np.cos(turn) * along - np.sin(turn) * left
    axes = np.eye(4)
    axes[:3, :3] = np.stack([ahead, np.cross(up, ahead), up])
    mark = mark - ((mark - ground) @ up) * up
    axes[:3, 3] = -axes[:3, :3] @ mark
    return axes


def _ground(places: Sequence[Place], rough: Chain) -> tuple[FloatArray, FloatArray]:
    """Upwards and a point of the ground, in the first camera's axes."""
    touching, upward = [], []
    for place in places:
        pose = rough.boards[place.name]
        touching.append(_on_ground(place) @ pose[:3, :3].T + pose[:3, 3])
        upward.append(pose[:3, 1] if place.stance is Stance.STANDING else pose[:3, 2])
    points, hint = np.concatenate(touching), np.mean(upward, axis=0)
    middle = points.mean(axis=0)
    _, sizes, axes = np.linalg.svd(points - middle)
    if sizes[1] / np.sqrt(len(points)) < LEAST_SPREAD_M:
        raise CalibrationError(
            "Where the ground is can't be told: all boards stand along one line.",
            try_next="Turn the board between its places, or lay it down once.",
        )
    up = axes[2] * np.sign(axes[2] @ hint)
    return up, middle


def _stick_in_first(
    rough: Chain,
    lenses: Mapping[str, Lens],
    known: Surroundings,
    up: FloatArray,
    ground: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """The stick's direction and the mat mark, from the first camera that saw it."""
    if known.stick is None:
        msg = "a line is given by a place or a stick"
        raise ValueError(msg)
    for name, ends in known.stick.ends_px.items():
        if name not in rough.cameras:
            continue
        pose = rough.cameras[name]
        rays = np.column_stack([unbend(lenses[name].numbers, ends), np.ones(2)]) @ pose[:3, :3].T
        far = ((ground - pose[:3, 3]) @ up) / (rays @ up)
        if (far > 0).all():
            rear, front = pose[:3, 3] + far[:, None] * rays
            along = front - rear
            left = np.cross(up, along / np.linalg.norm(along))
            along_m = along / np.linalg.norm(along)
            return along, rear + known.stick.mark_m * along_m - known.stick.offset_m * left
    raise CalibrationError(
        "The stick's ends don't lie on the ground in any camera.",
        try_next="Mark both ends of the stick, the rear one first.",
    )
