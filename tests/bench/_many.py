"""Many like pieces of a benchmark, worked at by as many processes as there are cores.

Owns that what comes out doesn't depend on how many they are: each piece stands by itself, every
process keeps to one core, and answers come in the order of the questions.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from typing import TypeVar

import cv2

from capturestation.tracking.body_network import BodyNetwork
from tests.helpers.body_pictures import network

Asked = TypeVar("Asked")
Told = TypeVar("Told")


def answers(
    work: Callable[[Asked], Told], pieces: Sequence[Asked], *, workers: int | None = None
) -> list[Told]:
    """What a piece of work says of each piece, in their order.

    Args:
        work: A function of a module; it must not lean on what it did before.
        pieces: What it is asked, one after the other.
        workers: How many processes; as many as there are cores unless given.
    """
    count = max(min(workers or os.cpu_count() or 1, len(pieces)), 1)
    # Copies of this process would share its threads' locks.
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(count, spawn, initializer=_begin) as pool:
        return list(pool.map(work, pieces))


def _begin() -> None:
    cv2.setNumThreads(1)


@cache
def one_network() -> BodyNetwork:
    """The body network of this process."""
    return network()
