"""Draws rows of training pictures side by side and keeps them in files of a folder.

Owns the files: a job of some seeds is one file, written whole or not at all. A file that is there
already is not drawn again, so that a run can be cut short and go on.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, fields
from pathlib import Path

import cv2
import numpy as np

from sample_sessions.training.pictures import Row, rows_of
from sample_sessions.training.variety import setting

ROWS_A_SEED = 6
SEEDS_A_FILE = 10
HELD_OUT = 5_000_000
# Seeds from here on are drawn for testing only.


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One file of pictures.

    Args:
        folder: Where it goes.
        first_seed: Its first seed; `SEEDS_A_FILE` of them.
    """

    folder: Path
    first_seed: int

    @property
    def path(self) -> Path:
        """The file."""
        return self.folder / f"rows-{self.first_seed:07d}.npz"


def jobs(folder: Path, rows: int, *, held_out: bool = False) -> list[Job]:
    """What has to be drawn for so many rows, at least."""
    files = -(-rows // (ROWS_A_SEED * SEEDS_A_FILE))
    base = HELD_OUT if held_out else 0
    return [Job(folder=folder, first_seed=base + SEEDS_A_FILE * n) for n in range(files)]


def draw(job: Job) -> Path:
    """Draw one file, unless it is there."""
    if job.path.exists():
        return job.path
    cv2.setNumThreads(1)
    seeds = range(job.first_seed, job.first_seed + SEEDS_A_FILE)
    rows = [row for seed in seeds for row in rows_of(setting(seed), ROWS_A_SEED)]
    partial = job.path.with_suffix(f".{os.getpid()}.partial")
    with partial.open("wb") as file:
        np.savez(file, allow_pickle=False, **stacked(rows))
    partial.rename(job.path)
    return job.path


def stacked(rows: Iterable[Row]) -> dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]]:
    """Every field of many rows, one behind the other; places as float32."""
    kept = list(rows)
    made = {f.name: np.stack([getattr(row, f.name) for row in kept]) for f in fields(Row)}
    return {
        name: values if values.dtype == np.uint8 else values.astype(np.float32)
        for name, values in made.items()
    }


def draw_all(to_do: Iterable[Job], processes: int) -> Iterable[Path]:
    """Draw side by side; files come as they are done."""
    with ProcessPoolExecutor(processes) as pool:
        for done in as_completed([pool.submit(draw, job) for job in to_do]):
            yield done.result()
