"""Several pieces of one job at once: decoding one file leaves the other core free.

Owns that a watch hears from the calling thread only, that one failure stops the rest, and that
no thread is left behind.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import TypeVar

from capturestation.errors import CancelledError
from capturestation.records import Watch

T = TypeVar("T")
_LOOK_S = 0.1
# A stop is heard within that time, and a person sees progress as steady.


@dataclass(slots=True)
class _Share:
    """One piece's own watch: how far it is, and whether it is to stop."""

    done: float = 0.0
    stopped: bool = False

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Note it, or stop."""
        if self.stopped:
            raise CancelledError
        self.done = share


def at_once(pieces: Sequence[Callable[[Watch], T]], watch: Watch, words: str) -> tuple[T, ...]:
    """Do all pieces, each in a thread of its own, and wait for them.

    Args:
        pieces: Each is handed a watch of its own, reports its own 0..1 to it and lets it stop it.
        watch: Told the mean of their shares.
        words: What is being done.

    Returns:
        What each returned, in their order.

    Raises:
        CancelledError: If the watch stops it; every thread has ended by then.
        Exception: The first that a piece raised; the others were stopped.
    """
    watch.report(0.0, words)
    shares = [_Share() for _ in pieces]
    with ThreadPoolExecutor(max_workers=len(pieces), thread_name_prefix="piece") as pool:
        jobs = [pool.submit(piece, share) for piece, share in zip(pieces, shares, strict=True)]
        try:
            running: Collection[Future[T]] = jobs
            while running:
                done, running = wait(running, timeout=_LOOK_S, return_when=FIRST_COMPLETED)
                for job in done:
                    job.result()
                watch.report(sum(share.done for share in shares) / len(shares), words)
        except BaseException:
            for share in shares:
                share.stopped = True
            raise
    return tuple(job.result() for job in jobs)
