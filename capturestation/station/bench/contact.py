"""Contact said by hand on the Bench: the picture that is looked at is the one.

Owns how it is taken back: places on the clock, and the moments found from them, as they were.
"""

from __future__ import annotations

from collections.abc import Callable

from capturestation.errors import NotFoundError
from capturestation.library import Library
from capturestation.records import Swing, SwingId, View, Watch
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.cache import Cache
from capturestation.station.intake import place_by_hand
from capturestation.station.measuring_again import measure_again
from capturestation.station.undo import Step
from capturestation.station.written_step import Kept, written_step

_FIELDS = ("syncs", "marks", "results", "zero")


def contact_here(
    library: Library,
    seen: SeenSwing,
    view: View,
    at_ns: int,
    watch: Watch,
    *,
    cache: Cache | None = None,
) -> tuple[Swing, Swing]:
    """Say that the frame of a view that is shown for a time is contact, and find the moments anew.

    What was measured is measured again.

    Args:
        library: Where the swing is.
        seen: The swing as it lies on the Bench.
        view: The angle that shows contact.
        at_ns: The time that is looked at, swing clock.
        watch: Gets the progress.
        cache: Where tracks are kept; the library's own unless given.

    Returns:
        The swing before and after.

    Raises:
        NotFoundError: If that angle stands nowhere on the clock.
        TimingRefusedError: If contact can't be there.
    """
    before = library.swing(seen.swing.id)
    sync = before.sync(view)
    if sync is None:
        raise NotFoundError(
            f"The {view} recording does not stand on the clock.",
            try_next="Choose the other angle.",
            subject=before.id,
        )
    media_ns = sync.to_media(seen.shown(view, at_ns).at_ns)
    placed = place_by_hand(library, before, view, media_ns, None, watch)
    return before, measure_again(library, placed, cache, moments_too=True).swing


def contact_step(
    library: Library, before: Swing, after: Swing, words: str, tell: Callable[[SwingId], None]
) -> Step:
    """A contact that is written already: taken back, all stands on the clock as before.

    Args:
        library: Where the swing is.
        before: As it was.
        after: As it is now.
        words: What it is, for undo.
        tell: Gets the swing whose pictures now stand elsewhere on the clock.
    """
    kept = Kept(
        before=before,
        after=after,
        fields=_FIELDS,
        stays="Its moments were changed again meanwhile, so contact stays where it is.",
        try_next="Say once more which picture shows contact.",
    )
    return written_step(library, kept, words, tell)
