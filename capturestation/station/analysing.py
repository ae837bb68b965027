"""Swings analysed: looked through, their moments found, their measures taken and written down.

Owns the order of these steps, that recordings are looked at side by side, that a stopped job goes
on where it was, and that a swing is looked at again only where the method changed. What is written
can be made again from the recordings; what a hand marked stays and counts.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

import cv2

from capturestation.errors import CancelledError, NotReadableError
from capturestation.library import Library
from capturestation.records import (
    STANCE_SPOTS,
    Hand,
    Moment,
    Quiet,
    Result,
    Swing,
    SwingBook,
    SwingId,
    View,
    Watch,
)
from capturestation.station.cache import Cache
from capturestation.station.figures import figures_of, odd_about, watched
from capturestation.station.golfer_box import golfer_box
from capturestation.station.intake import with_tempo
from capturestation.station.models import BodyModel
from capturestation.station.seeing import Looked, Lookers, look_through
from capturestation.station.seen_tracks import keep_tracks, kept_tracks
from capturestation.station.spots import find_balls
from capturestation.station.standpoints import bay_word, standpoints
from capturestation.swing.finding import find_all
from capturestation.swing.hard_to_see import wider_where_hardly_seen
from capturestation.swing.marks import effective_marks, with_found
from capturestation.swing.measuring import METHOD, WIDER_ON_PEOPLE
from capturestation.swing.measuring_in_space import measure_both
from capturestation.tracking.body_network import BodyNetwork
from capturestation.tracking.club import ClubTracker
from capturestation.tracking.club_network import ClubNetwork

NO_MODEL = "There is no body model on this computer: fetch it once, then analyse again."
NO_SET = "It was not found when he stands at set: mark that by hand."
NO_ZERO = "No recording of it has a place on the clock yet."
_LOOK_S = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Analysed:
    """What became of one swing.

    Args:
        swing: As it is now.
        done: Whether it was looked at; else it was up to date.
        said: What else to know: what couldn't be read.
    """

    swing: Swing
    done: bool
    said: tuple[str, ...] = ()


def is_current(swing: Swing) -> bool:
    """Whether a swing's measures were taken by this method, with a body model."""
    ours = of_measures(swing.book.results)
    return bool(ours) and all(result.why_missing != NO_MODEL for result in ours)


def is_by_this_bay(library: Library, swing: Swing) -> bool:
    """Whether a swing's measures were taken by what is known of its bay now."""
    ours = of_measures(swing.book.results)
    by_now = _by_bay(METHOD, bay_word(library, swing))
    return all(f"{one.method} ".startswith(f"{by_now} ") for one in ours) and (
        by_now != METHOD or not any(one.method.startswith(f"{METHOD} bay ") for one in ours)
    )


def _by_bay(method: str, word: str) -> str:
    """A way of measuring with the bay by which it was done."""
    return method.replace(METHOD, f"{METHOD} bay {word}", 1) if word else method


@dataclass
class Analyst:
    """Analyses swings of one library.

    Args:
        library: Where they are, and where results go.
        cache: Where tracks are kept.
        model: The body model; where it isn't there measures say so.
        workers: How many recordings are looked at side by side; all cores unless given.
        wider: By how much stated errors of joints are widened.
    """

    library: Library
    cache: Cache
    model: BodyModel
    workers: int = field(default_factory=lambda: os.cpu_count() or 1)
    wider: float = WIDER_ON_PEOPLE

    def analyse(
        self, swings: Sequence[Swing], watch: Watch, *, again: bool = False
    ) -> tuple[Analysed, ...]:
        """Analyse swings, those that are up to date left as they are.

        Args:
            swings: Which.
            watch: Told how far it is; when it stops, what is finished stays written.
            again: Whether also those that are up to date.

        Raises:
            CancelledError: If it was stopped.
            LibraryError: If the library can't be written.
        """
        found: list[Analysed] = []
        anew = {} if again else self._by_other_bays(swings)
        todo = [swing for swing in swings if again or not (is_current(swing) or swing.id in anew)]
        with _Desk(self.model, self.workers) as desk:
            for swing in swings:
                if swing not in todo:
                    now = anew.get(swing.id, swing)
                    found.append(Analysed(swing=now, done=swing.id in anew))
                    continue
                number = todo.index(swing)
                for ahead in todo[number : number + 1 + self.workers // 2]:
                    desk.ask(ahead, self._paths(ahead), self._hand(ahead))
                share = _Shares(watch, number / len(todo), (number + 1) / len(todo))
                found.append(self._finished(swing, *desk.answer(swing, share)))
        watch.report(1.0, "analysed")
        return tuple(found)

    def _by_other_bays(self, swings: Sequence[Swing]) -> dict[SwingId, Swing]:
        """Swings of whose bay something else is known now, measured anew from kept tracks."""
        found = {}
        for swing in swings:
            if is_current(swing) and not is_by_this_bay(self.library, swing):
                fresh = self.measure_again(swing)
                if fresh is not None:
                    found[swing.id] = fresh
        return found

    def measure_again(self, swing: Swing, *, moments_too: bool = False) -> Swing | None:
        """Take the measures anew from kept tracks, as after a mark by hand; None without tracks.

        Where marks are changed meanwhile nothing is written: whoever did that asks anew.

        Args:
            swing: Which.
            moments_too: Whether its moments are found anew too; a hand's stay.
        """
        seen = kept_tracks(self.cache.folder(swing.id))
        if not seen:
            return None
        known = self.library.swing(swing.id).book
        fresh = self._measured(known, swing, seen, marks_too=moments_too)

        def changed(book: SwingBook) -> SwingBook:
            if book.marks != known.marks or book.syncs != known.syncs:
                return book
            with_marks = with_tempo(replace(book, marks=fresh.marks))
            return with_results(with_marks, of_measures(fresh.results))

        return self.library.change_book(swing.id, changed)

    def _paths(self, swing: Swing) -> dict[View, Path]:
        return {
            recording.view: self.library.media_path(swing, recording.view)
            for recording in swing.facts.recordings
            if swing.sync(recording.view) is not None
        }

    def _hand(self, swing: Swing) -> Hand:
        return self.library.student(swing.book.student_id).hand

    def _finished(
        self, swing: Swing, seen: Mapping[View, Looked], said: tuple[str, ...]
    ) -> Analysed:
        if seen and self.model.is_there:
            keep_tracks(self.cache.made_folder(swing.id), seen)
        if seen and self.model.is_there:
            with suppress(NotReadableError):
                swing = find_balls(self.library, swing, Quiet())
        told: list[str] = []
        changed = self.library.change_book(
            swing.id,
            lambda book: self._measured(book, swing, seen, marks_too=bool(seen), told=told),
        )
        odd = odd_about(seen, changed, self._hand(changed)) if seen and self.model.is_there else ()
        odd_said = tuple(one.whole for one in odd)
        return Analysed(swing=changed, done=True, said=(*said, *told[-1:], *odd_said))

    def _measured(
        self,
        book: SwingBook,
        swing: Swing,
        seen: Mapping[View, Looked],
        *,
        marks_too: bool,
        told: list[str] | None = None,
    ) -> SwingBook:
        placed = {s.view: seen[s.view].placed(s) for s in book.syncs if s.view in seen}
        hand = self._hand(swing)
        if marks_too:
            u_ns = max(sync.u_ns for sync in book.syncs)
            where = standpoints(self.library, Swing(facts=swing.facts, book=book))
            marks = find_all(watched(placed, hand, where), hand=hand, zero_u_ns=u_ns)
            book = replace(book, marks=with_found(book.marks, marks))
        why = "" if self.model.is_there else NO_MODEL
        figures = figures_of(self.library, placed, Swing(facts=swing.facts, book=book))
        if told is not None and figures.why:
            told.append(figures.why)
        why = why or ("" if placed else NO_ZERO) or _why_no_set(book, placed)
        front = placed.get(View.FACE_ON)
        hardly = wider_where_hardly_seen(None if front is None else front.body, book.marks)
        fresh = measure_both(
            figures.pictures, figures.space, book.marks, why_none=why, wider=self.wider * hardly
        )
        word = bay_word(self.library, Swing(facts=swing.facts, book=book))
        by_bay = [replace(one, method=_by_bay(one.method, word)) for one in fresh]
        return with_results(with_tempo(book), by_bay)


def _why_no_set(book: SwingBook, placed: Mapping[View, Looked]) -> str:
    """Why there is no figure of a golfer who was seen, a sentence; empty where there is one."""
    at_set = effective_marks(book.marks).get(Moment.SET)
    is_seen = any(looked.body is not None for looked in placed.values())
    return NO_SET if is_seen and (at_set is None or at_set.at_ns is None) else ""


def with_results(book: SwingBook, fresh: Sequence[Result]) -> SwingBook:
    """The book with these results in the place of those of the same names, and of older methods."""
    names = {result.name for result in fresh}
    others = without_measures(book.results)
    kept = tuple(result for result in others if result.name not in names)
    return replace(book, results=(*kept, *fresh))


def without_measures(results: Sequence[Result]) -> tuple[Result, ...]:
    """Results of all other kinds; measures of older methods are left out too."""
    kind = METHOD.split(" ")[0]
    return tuple(result for result in results if not result.method.startswith(f"{kind} "))


def of_measures(results: Sequence[Result]) -> tuple[Result, ...]:
    """Those of this method."""
    return tuple(result for result in results if f"{result.method} ".startswith(f"{METHOD} "))


class _Shares:
    """A stretch of the whole job; recordings side by side report into it from their threads."""

    def __init__(self, watch: Watch, start: float, end: float) -> None:
        self._watch, self._start, self._end = watch, start, end

    def report(self, share: float) -> None:
        """Pass on how far this swing is."""
        at = self._start + share * (self._end - self._start)
        self._watch.report(at, "analysing swings")


class _Desk:
    """Threads that look at recordings, a network each; leave its block to end them."""

    def __init__(self, model: BodyModel, workers: int) -> None:
        self._model = model
        self._pool = ThreadPoolExecutor(workers, thread_name_prefix="analyse")
        self._own = threading.local()
        self._stop = threading.Event()
        self._asked: dict[str, dict[View, Future[Looked]]] = {}
        self._cv2_threads = cv2.getNumThreads()
        self._shares: dict[tuple[str, View], float] = {}

    def __enter__(self) -> _Desk:
        # Ours are as many as there are cores: more would stand in each other's way.
        cv2.setNumThreads(1)
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._pool.shutdown(cancel_futures=True)
        cv2.setNumThreads(self._cv2_threads)

    def ask(self, swing: Swing, paths: Mapping[View, Path], hand: Hand) -> None:
        """Have a swing's recordings looked at, unless that is being done."""
        if swing.id not in self._asked:
            self._asked[swing.id] = {
                view: self._pool.submit(self._look, swing, view, path, hand)
                for view, path in paths.items()
            }

    def answer(self, swing: Swing, shares: _Shares) -> tuple[dict[View, Looked], tuple[str, ...]]:
        """Wait for a swing's recordings."""
        futures = self._asked.pop(swing.id)
        pending = set(futures.values())
        while pending:
            _, pending = wait(pending, _LOOK_S, return_when=FIRST_COMPLETED)
            done = [self._shares.get((swing.id, view), 0.0) for view in futures]
            shares.report(sum(done) / len(done))
        seen, said = {}, []
        for view, future in futures.items():
            try:
                seen[view] = future.result()
            except NotReadableError as error:
                said.append(f"The {view} recording can't be read: {error.what}")
        return seen, tuple(said)

    def _look(self, swing: Swing, view: View, path: Path, hand: Hand) -> Looked:
        sync = swing.sync(view)
        assert sync is not None
        stance = tuple(
            one.at for one in swing.book.spots if one.view is view and one.spot in STANCE_SPOTS
        )
        lookers = Lookers(
            hand=hand,
            network=self._network(),
            club=self._club(),
            box=golfer_box(swing.book.spots, view),
            stance=stance,
        )
        watch = _Ear(self._shares, (swing.id, view), self._stop)
        return look_through(path, sync, swing.book.marks, lookers, watch)

    def _network(self) -> BodyNetwork | None:
        """This thread's own network."""
        if not self._model.is_there:
            return None
        held: BodyNetwork | None = getattr(self._own, "network", None)
        if held is None:
            held = self._own.network = BodyNetwork(self._model.path, engine=self._model.engine)
        return held

    def _club(self) -> ClubTracker | None:
        """Who looks for the club in one recording: near the hands, so not without the body."""
        if not self._model.is_there:
            return None
        held: ClubNetwork | None = getattr(self._own, "club", None)
        if held is None:
            held = self._own.club = ClubNetwork()
        return ClubTracker(network=held)


class _Ear:
    """Hears how far one recording is, and stops it when the desk closes."""

    def __init__(
        self, shares: dict[tuple[str, View], float], key: tuple[str, View], stop: threading.Event
    ) -> None:
        self._shares, self._key, self._stop = shares, key, stop

    def report(self, share: float, words: str) -> None:  # noqa: ARG002 - the protocol's shape
        """Note it."""
        self._shares[self._key] = share
        if self._stop.is_set():
            raise CancelledError
