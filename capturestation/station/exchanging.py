"""The two views of a swing exchanged: what was called face-on is down the line, and the other way.

Owns that all that is known of a picture goes with it (its place on the clock, what was drawn and
pointed out, what was seen), and that moments and measures follow. The recordings stay as they are;
the book says that they were named the other way round. Done twice, all is as before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from capturestation.errors import RefusedError, StationError
from capturestation.folders import remove_file
from capturestation.library import Library
from capturestation.records import Swing, SwingBook, SwingId, Sync, View
from capturestation.station.analysing import of_measures, without_measures
from capturestation.station.cache import Cache, cache_of
from capturestation.station.measuring_again import MeasuredAgain, measure_again
from capturestation.station.seeing import Looked
from capturestation.station.seen_tracks import keep_tracks, kept_tracks, tracks_file
from capturestation.station.undo import Step
from capturestation.station.written_step import Kept, written_step

_FIELDS = ("exchanged", "syncs", "drawings", "spots", "moved", "marks", "results")
ANALYSE = "What was measured is gone with the old names: analyse it again."


def exchange_views(library: Library, swing: Swing, cache: Cache | None = None) -> MeasuredAgain:
    """Call a swing's face-on recording down the line and the other way round.

    Args:
        library: Where it is.
        swing: Which.
        cache: Where its tracks lie; the library's own unless given.

    Raises:
        RefusedError: If it has neither of the two views.
        OutputError: If it can't be written; the old stands.
    """
    if all(recording.view is View.EXTRA for recording in swing.facts.recordings):
        raise RefusedError(
            f"Swing {swing.id} has no face-on and no down-the-line recording.",
            try_next="There is nothing to exchange.",
            subject=swing.id,
        )
    where = cache_of(library) if cache is None else cache
    with _turned_tracks(where, swing.id) as seen:
        changed = library.change_book(swing.id, exchanged_book)
    if not seen:
        had = any(r.measured is not None for r in of_measures(swing.book.results))
        return MeasuredAgain(swing=changed, done=False, said=ANALYSE if had else "")
    return measure_again(library, changed, where, moments_too=True)


@contextmanager
def _turned_tracks(cache: Cache, swing_id: SwingId) -> Iterator[dict[View, Looked]]:
    """What was seen, put under the other names once the block is through.

    Killed in between there are no tracks rather than some under the wrong names.
    """
    seen = kept_tracks(cache.folder(swing_id))
    remove_file(tracks_file(cache.folder(swing_id)))
    try:
        yield seen
    except StationError:
        if seen:
            keep_tracks(cache.made_folder(swing_id), seen)
        raise
    if seen:
        turned = {view.across: one for view, one in seen.items()}
        keep_tracks(cache.made_folder(swing_id), turned)


def exchanged_book(book: SwingBook) -> SwingBook:
    """The book with everything said of one view said of the other; measures are taken anew."""
    return replace(
        book,
        exchanged=not book.exchanged,
        syncs=_in_order(tuple(replace(one, view=one.view.across) for one in book.syncs)),
        drawings=tuple(replace(one, view=one.view.across) for one in book.drawings),
        spots=tuple(replace(one, view=one.view.across) for one in book.spots),
        moved=tuple(view.across for view in book.moved),
        results=without_measures(book.results),
    )


def exchange_step(
    library: Library, before: Swing, after: Swing, words: str, tell: Callable[[SwingId], None],
    cache: Cache,
) -> Step:  # fmt: skip
    """An exchange that is written already: taken back, all stands as before.

    Args:
        library: Where the swing is.
        before: As it was.
        after: As it is now.
        words: What it is, for undo.
        tell: Gets the swing whose pictures have other names now.
        cache: Where its tracks lie.
    """
    kept = Kept(
        before=before,
        after=after,
        fields=_FIELDS,
        stays="This swing was changed again meanwhile, so its views stay as they are.",
        try_next="Exchange them once more.",
    )
    return written_step(library, kept, words, tell, lambda: _turned_tracks(cache, before.id))


def _in_order(syncs: tuple[Sync, ...]) -> tuple[Sync, ...]:
    return tuple(sorted(syncs, key=lambda one: list(View).index(one.view)))
