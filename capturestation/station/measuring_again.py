"""A swing measured anew once a hand changed what its measures stand on: a moment, contact, a view.

Owns that window and commands do it in one way: from the tracks that were kept, no picture is looked
at. Where no tracks are left it says that values stand as they were.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from capturestation.library import Library
from capturestation.records import Swing, Watch
from capturestation.station import marking
from capturestation.station.analysing import Analyst, of_measures
from capturestation.station.cache import Cache, cache_of
from capturestation.station.models import body_model

NOT_AGAIN = (
    "Its measures stand as they were before: what was seen of it isn't kept on this computer any "
    "more. Analyse it again."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredAgain:
    """What became of it.

    Args:
        swing: As it is now.
        done: Whether it was measured anew.
        said: Why values are not those of now, a sentence; else nothing.
    """

    swing: Swing
    done: bool
    said: str = ""


def measure_again(
    library: Library, swing: Swing, cache: Cache | None = None, *, moments_too: bool = False
) -> MeasuredAgain:
    """Take a swing's measures anew from its kept tracks.

    Args:
        library: Where it is.
        swing: Which; read again, since others may change it too.
        cache: Where tracks are kept; the library's own unless given.
        moments_too: Whether also its moments are found anew, as after its pictures were placed
            elsewhere on the clock.

    Raises:
        LibraryError: If the library can't be written.
    """
    where = cache_of(library) if cache is None else cache
    analyst = Analyst(library=library, cache=where, model=body_model(), workers=1)
    found = analyst.measure_again(library.swing(swing.id), moments_too=moments_too)
    if found is not None:
        return MeasuredAgain(swing=found, done=True)
    now = library.swing(swing.id)
    has_values = any(result.measured is not None for result in of_measures(now.book.results))
    return MeasuredAgain(swing=now, done=False, said=NOT_AGAIN if has_values else "")


def find_again(
    library: Library, swing: Swing, watch: Watch, cache: Cache | None = None
) -> MeasuredAgain:
    """Find a swing's moments again and measure there; marks by hand stay.

    Args:
        library: Where it is.
        swing: Which.
        watch: Told how far it is where its pictures have to be read again.
        cache: Where tracks are kept; the library's own unless given.

    Raises:
        NotReadableError: If a picture can't be decoded.
        CancelledError: If it was stopped.
    """
    again = measure_again(library, swing, cache, moments_too=True)
    if again.done:
        return again
    return replace(again, swing=marking.find_again(library, swing, watch))
