"""A recording of a camera on its side set upright: a swing of its own takes the old one's place.

Recordings are facts and are not rewritten. So what is known goes with a swing whose file says how
it is turned, and the old one lies in the trash until it is sure that nobody wants it back.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from capturestation import __version__
from capturestation.errors import BadInputError, NotFoundError
from capturestation.folders import copy_durably
from capturestation.library import Library
from capturestation.media.turned import turn_file
from capturestation.records import (
    Part,
    Swing,
    SwingBook,
    SwingFacts,
    SwingId,
    View,
    Watch,
    new_id,
)
from capturestation.station import deleting
from capturestation.station.analysing import without_measures
from capturestation.station.cache import Cache
from capturestation.station.sources import read_sources
from capturestation.station.undo import Step

QUARTERS = (90, 180, 270)


def turn_view(
    library: Library, cache: Cache, swing: Swing, view: View, turn_deg: int, watch: Watch
) -> Swing:
    """Set a view of a swing upright; what was measured has to be measured again.

    Args:
        library: Where it is.
        cache: Where what was made of it lies.
        swing: Which; it goes into the trash.
        view: Whose pictures.
        turn_deg: How far they are turned clockwise: 90, 180 or 270.
        watch: Told how far it is.

    Returns:
        The swing that takes its place.

    Raises:
        NotFoundError: If it has no such view.
        BadInputError: If its file is of a kind that can't say how it is turned, or isn't there.
        CancelledError: If the watch stops it; nothing was changed.
        OutputError: If there is no room.
    """
    if turn_deg not in QUARTERS:
        raise BadInputError("A picture is turned by quarters.", try_next="Give 90, 180 or 270.")
    recording = swing.recording(view)
    if recording is None:
        raise NotFoundError(
            f"Swing {swing.id} has no {view} recording.",
            try_next=f"It has: {', '.join(r.view for r in swing.facts.recordings)}.",
            subject=swing.id,
        )
    with tempfile.TemporaryDirectory() as folder:
        files = {r.view: library.media_path(swing, r.view) for r in swing.facts.recordings}
        copy = Path(folder) / recording.file
        copy_durably(files[view], copy, Part(watch, 0.0, 0.1))
        turn_file(copy, turn_deg)
        files[view] = copy
        cameras = {r.view: r.camera for r in swing.facts.recordings}
        sources = read_sources(files, cameras, Part(watch, 0.1, 0.3))
        facts = SwingFacts(
            id=SwingId(new_id()),
            struck_at=swing.facts.struck_at,
            recordings=tuple(source.recording() for source in sources),
            made_by=f"capturestation {__version__}",
        )
        book = _turned_book(swing.book, facts.id, view)
        fresh = library.keep_swing(facts, book, files, Part(watch, 0.3, 1.0))
    try:
        deleting.throw_away(library, cache, swing)
    except BaseException:
        library.delete_swing(fresh.id)
        raise
    return fresh


def _turned_book(book: SwingBook, swing_id: SwingId, view: View) -> SwingBook:
    """The book without what was said of places in the pictures that are turned."""
    return replace(
        book,
        id=swing_id,
        exchanged=False,
        drawings=tuple(one for one in book.drawings if one.view is not view),
        spots=tuple(one for one in book.spots if one.view is not view),
        results=without_measures(book.results),
    )


def turn_step(
    library: Library,
    cache: Cache,
    before: Swing,
    after: Swing,
    words: str,
    tell: Callable[[SwingId], None],
) -> Step:
    """A turn that is done already: taken back, the old swing comes from the trash.

    Args:
        library: Where they are.
        cache: Where what was made of them lies.
        before: The swing that lies in the trash.
        after: The one in its place.
        words: What it is, for undo.
        tell: Gets the swing that is there now.
    """
    thrown = [next(note for note in library.trash() if note.id == before.id)]
    is_first = [True]

    def change(gone: SwingId, to: SwingId) -> None:
        back = thrown.pop()
        thrown.append(deleting.throw_away(library, cache, library.swing(gone)))
        deleting.bring_back(library, back)
        tell(to)

    def do() -> None:
        if is_first:
            is_first.clear()
            tell(after.id)
        else:
            change(before.id, after.id)

    return Step(words=words, do=do, undo=lambda: change(after.id, before.id), about=after.id)
