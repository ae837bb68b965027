"""Struck balls into finished folders, beside the recording and never in its way.

Owns the threads that write, one for each ball that is being kept, and the order: claim, partial
folder, recordings while they go on, hashes, note, `swing.json`, rename. A ball that can't be kept
is said to be lost, with the reason. Called by the process.
"""

from __future__ import annotations

import io
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import numpy as np

from capturestation import __version__
from capturestation.capture.inbox import Inbox
from capturestation.capture.looks import LOOK_AFTER_NS, write_look
from capturestation.capture.messages import Fact, Kept, Lost, Struck
from capturestation.capture.part import Part
from capturestation.capture.strike import Strike
from capturestation.errors import BadInputError, StationError
from capturestation.folders import SwingFolder, atomic_write_bytes, write_document
from capturestation.records import NS_PER_S, Quiet, Recording, SwingFacts
from capturestation.records.capture import CaptureNote, Health

CAPTURE_FILE = "capture.json"
_LOOK_S = 0.1
# How often what came is written: much at a time costs less, and the last is looked for more often.
_NEAR_S = 0.008
# Once the last picture is due.
_FLUSH_NS = NS_PER_S // 2
# What is on the disk already is not waited for at the end.
_JOIN_S = 90.0
_MOST_AT_ONCE = 12
# So many balls in ten seconds are no person's.

Tell = Callable[[Fact], None]
Parts = Sequence[Part]


class Recorder:
    """Keeps balls.

    Args:
        inbox: Where.
        tell: Is told what becomes of each; from any thread.
        health: The station's health, noted with each ball.
    """

    def __init__(self, inbox: Inbox, tell: Tell, health: Callable[[], Health]) -> None:
        self._inbox = inbox
        self._tell = tell
        self._health = health
        self._lock = threading.Lock()
        self._threads: list[threading.Thread] = []
        self._failure: BaseException | None = None
        self._sizes_mb: list[float] = []
        self.kept = 0
        self.lost = 0

    def keep(self, strike: Strike, parts: Parts) -> None:
        """Begin to keep a ball; returns at once."""
        thread = threading.Thread(
            target=self._run, args=(strike, parts), name=f"keep {strike.id}", daemon=True
        )
        with self._lock:
            self._threads = [t for t in self._threads if t.is_alive()]
            if len(self._threads) >= _MOST_AT_ONCE:
                error = BadInputError(
                    f"{_MOST_AT_ONCE} balls are being kept already.",
                    try_next="Wait until they are kept; listen again if it was no ball.",
                )
                self._lose(strike, error)
                return
            self._threads.append(thread)
            thread.start()

    def finish(self) -> None:
        """Wait until all that was struck is kept or lost.

        Raises:
            RuntimeError: If a thread hangs or died of a mistake of ours.
        """
        with self._lock:
            threads = list(self._threads)
        for thread in threads:
            thread.join(_JOIN_S)
        if any(thread.is_alive() for thread in threads):
            msg = "a ball is not kept after a minute and a half"
            raise RuntimeError(msg)
        self.check()

    def check(self) -> None:
        """Raise what a thread died of, if one did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = "keeping a ball failed"
            raise RuntimeError(msg) from self._failure

    @property
    def usual_mb(self) -> float | None:
        """Size of the latest balls; None before the first."""
        sizes = self._sizes_mb[-10:]
        return sum(sizes) / len(sizes) if sizes else None

    def _run(self, strike: Strike, parts: Parts) -> None:
        try:
            self._inbox.claim(strike.id, strike.struck_at)
            self._tell(
                Struck(
                    id=strike.id,
                    at_host_ns=strike.at_host_ns,
                    struck_at=strike.struck_at,
                    trigger=strike.trigger,
                    ticket=strike.ticket,
                    confirmed=strike.confirmed,
                )
            )
            kept = self._kept(strike, parts)
        except StationError as error:
            self._lose(strike, error)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error
        else:
            self.kept += 1
            self._sizes_mb.append(kept.size_mb)
            self._tell(kept)
            self._inbox.settle(strike.id)

    def _lose(self, strike: Strike, error: StationError) -> None:
        self.lost += 1
        lost = Lost(
            struck_at=strike.struck_at, why=error.what, try_next=error.try_next, id=strike.id
        )
        self._tell(lost)
        self._inbox.settle(strike.id)

    def _kept(self, strike: Strike, parts: Parts) -> Kept:
        with SwingFolder(self._inbox.folder / strike.id) as building:
            try:
                self._record(strike, parts, building)
                there = _with_pictures(parts)
                note = self._note(strike, there, parts)
                recordings = _closed(there, building, note)
            except BaseException:
                for part in parts:
                    part.abandon()
                raise
            building.seal(
                SwingFacts(
                    id=strike.id,
                    struck_at=strike.struck_at,
                    recordings=tuple(recordings),
                    made_by=f"capturestation {__version__}",
                )
            )
            folder = building.publish()
        return Kept(
            id=strike.id,
            folder=str(folder),
            size_mb=sum(r.size_bytes for r in recordings) / 1e6,
            after_ms=(time.perf_counter_ns() - strike.until_ns) / 1e6,
            missing=sum(source.missing for source in note.sources),
            said=(*note.said, *(line for source in note.sources for line in source.said)),
        )

    def _record(self, strike: Strike, parts: Parts, building: SwingFolder) -> None:
        """Write while the pictures come."""
        for part in parts:
            part.open(building.path)
        flushed_ns = time.perf_counter_ns()
        look_ns = strike.at_host_ns + min(LOOK_AFTER_NS, strike.windows.after_ns)
        has_look = False
        while not all(part.is_done for part in parts):
            time.sleep(_until_next(strike))
            now_ns = time.perf_counter_ns()
            for part in parts:
                part.go_on(now_ns)
            if not has_look and now_ns >= look_ns:
                has_look = True
                self._look(strike, parts)
            if now_ns - flushed_ns > _FLUSH_NS:
                for part in parts:
                    part.flush()
                flushed_ns = time.perf_counter_ns()
        if not has_look and any(part.holds_impact for part in parts):
            # The last picture came just as the time was asked.
            self._look(strike, parts)

    def _look(self, strike: Strike, parts: Parts) -> None:
        with suppress(StationError):
            # Nothing rests on it; what is wrong with the disk is said with the ball itself.
            self._tell(write_look(self._inbox, strike, parts))

    def _note(self, strike: Strike, there: Parts, parts: Parts) -> CaptureNote:
        gone = [part.setting.view for part in parts if part not in there]
        return CaptureNote(
            ticket=strike.ticket,
            trigger=strike.trigger,
            impact_host_ns=strike.at_host_ns,
            u_ns=strike.u_ns,
            candidate=strike.candidate,
            confirmed=strike.confirmed,
            sources=tuple(part.note() for part in there),
            health=self._health(),
            said=tuple(f"The {view} camera sent nothing at impact." for view in gone),
        )


def _closed(parts: Parts, building: SwingFolder, note: CaptureNote) -> list[Recording]:
    """Finish all files at once: hashing and the disk's own time overlap."""

    def close(part: Part) -> Recording:
        index = part.close()
        return part.recording(index, building.add_made(part.file, Quiet()))

    def write_stamps(part: Part, name: str) -> None:
        held = io.BytesIO()
        np.save(held, part.stamps(), allow_pickle=False)
        atomic_write_bytes(building.path / name, held.getvalue())

    with ThreadPoolExecutor(max_workers=2 * len(parts) + 1, thread_name_prefix="close") as pool:
        closed = [pool.submit(close, part) for part in parts]
        noted = [pool.submit(write_document, building.path / CAPTURE_FILE, "capture", note)]
        for part, source in zip(parts, note.sources, strict=True):
            noted.append(pool.submit(write_stamps, part, source.stamps))
        for written in noted:
            written.result()
        return [one.result() for one in closed]


def _until_next(strike: Strike) -> float:
    """How long to wait for more of a ball, seconds."""
    left_s = (strike.until_ns - time.perf_counter_ns()) / NS_PER_S
    return min(max(left_s, _NEAR_S), _LOOK_S)


def _with_pictures(parts: Parts) -> list[Part]:
    there = [part for part in parts if part.holds_impact]
    for part in parts:
        if part not in there:
            part.abandon()
    if not there:
        raise BadInputError(
            "A ball was struck while no camera sent a picture.",
            try_next="Check the cameras; they are taken up again as soon as they send.",
        )
    return there
