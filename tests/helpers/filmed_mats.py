"""The rendered mat's half seconds, kept in the user's cache: each takes seconds to render.

Used by the benchmark and by whoever chooses settings, never with the same seeds.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
import platformdirs

from capturestation.records import Hand, View
from tests.helpers.mat_scenes import Filmed, Kind, Station, film

VERSION = 2
"""Counted up whenever the scenes look otherwise."""
FOR_SETTINGS = (Station(seed=11), Station(seed=12, hand=Hand.LEFT))
FOR_BENCHES = (Station(seed=21), Station(seed=22, hand=Hand.LEFT))
Scene = tuple[Kind, int, Station]


def filmed(scenes: Sequence[Scene], *, workers: int = 2) -> list[tuple[Filmed, Filmed]]:
    """Both views of each scene, rendered where they are not in the cache yet."""
    with ProcessPoolExecutor(max_workers=workers) as pool:
        list(pool.map(_render, [one for one in scenes if not _path(one).exists()]))
    return [_read(_path(one)) for one in scenes]


def _path(scene: Scene) -> Path:
    kind, seed, station = scene
    folder = platformdirs.user_cache_path("capturestation-tests") / f"mats-{VERSION}"
    share = round(100 * station.size_share)
    return folder / f"{kind.name}-{seed}-{station.seed}-{station.hand.name}-{share}.npz"


def _render(scene: Scene) -> None:
    path = _path(scene)
    path.parent.mkdir(parents=True, exist_ok=True)
    arrays: dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]] = {}
    for one in film(*scene):
        arrays |= {
            f"{one.view} late": np.array(one.late_ns),
            f"{one.view} times": one.times_ns,
            f"{one.view} greys": one.greys,
            f"{one.view} still": one.still,
        }
    handle, partial = tempfile.mkstemp(suffix=".npz", dir=path.parent)
    os.close(handle)
    np.savez_compressed(partial, **arrays)  # type: ignore[arg-type]
    Path(partial).replace(path)


def _read(path: Path) -> tuple[Filmed, Filmed]:
    with np.load(path, allow_pickle=False) as arrays:
        first, second = (
            Filmed(
                view=view,
                late_ns=int(arrays[f"{view} late"]),
                times_ns=arrays[f"{view} times"],
                greys=arrays[f"{view} greys"],
                still=arrays[f"{view} still"],
            )
            for view in (View.FACE_ON, View.DOWN_THE_LINE)
        )
    return first, second
