"""What is odd about how a swing was filmed, by what was kept of its tracks.

Owns no judgement: that is `swing.oddities`'. Bench and Book ask here; it reads files, so it takes
its time.
"""

from __future__ import annotations

from capturestation.library import Library
from capturestation.records import Swing
from capturestation.station.cache import Cache
from capturestation.station.figures import odd_about
from capturestation.station.seen_tracks import kept_tracks
from capturestation.swing.oddities import Oddity


def odd_of(library: Library, cache: Cache, swing: Swing) -> tuple[Oddity, ...]:
    """What a coach should look at in how a swing was filmed.

    Args:
        library: Asked for the student's hand.
        cache: Where tracks lie.
        swing: Which.

    Raises:
        NotFoundError: If the student is gone.
    """
    seen = kept_tracks(cache.folder(swing.id))
    return odd_about(seen, swing, library.student(swing.book.student_id).hand)
