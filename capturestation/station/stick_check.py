"""What the tool reads of a stick that is held across the hips over a mark on the floor.

Owns the coach's check of one minute: stand as at set, turn until the stick lies over a mark laid at
45 degrees, stand still, and see how far the reading is off. Needs a recording that was analysed, so
that its tracks are there; changes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from capturestation.errors import RefusedError
from capturestation.library import Library
from capturestation.records import NS_PER_S, Moment, Swing, hand_mark
from capturestation.station.cache import Cache
from capturestation.station.figures import figures_of
from capturestation.station.seen_tracks import kept_tracks
from capturestation.swing.measures import MEASURES, full_name
from capturestation.swing.measuring import WIDER_ON_PEOPLE, curve, table

MARK_DEG = 45.0
_STILL_NS = round(0.25 * NS_PER_S)
_TURN = MEASURES[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class StickReading:
    """What was read.

    Args:
        mark_deg: What the stick lay at, closed positive.
        read_deg: What the tool reads of the hips meanwhile.
        u_deg: The standard uncertainty that it states of such a turn.
        moved_deg: How far the reading wandered meanwhile, standard deviation.
    """

    mark_deg: float
    read_deg: float
    u_deg: float
    moved_deg: float

    @property
    def off_deg(self) -> float:
        """How much too closed it reads."""
        return self.read_deg - self.mark_deg

    @property
    def is_within(self) -> bool:
        """Whether it is off by no more than is stated: two standard uncertainties."""
        return abs(self.off_deg) <= 2.0 * self.u_deg


def read_stick(
    library: Library, cache: Cache, swing: Swing, at_ns: int, *, mark_deg: float = MARK_DEG
) -> StickReading:
    """Read the hips' turn while a stick was held over the mark.

    Args:
        library: The library.
        cache: Where tracks are kept.
        swing: The recording of it, analysed.
        at_ns: When he stood still over the mark, the swing's clock.
        mark_deg: How the mark is laid, closed positive.

    Raises:
        RefusedError: If there are no tracks of it, or the hips are not seen in both views then.
    """
    kept = kept_tracks(cache.folder(swing.id))
    placed = {s.view: kept[s.view].placed(s) for s in swing.book.syncs if s.view in kept}
    marks = (hand_mark(Moment.SET, at_ns),)
    there = Swing(facts=swing.facts, book=replace(swing.book, marks=marks))
    figure = figures_of(library, placed, there).pictures
    if figure is None:
        raise RefusedError(
            "Nobody has looked through that recording yet.",
            try_next="Analyse it first, with the body model there.",
            subject=swing.id,
        )
    still = np.abs(figure.times_ns - at_ns) <= _STILL_NS
    turns = curve(figure, _TURN, marks)[still]
    turns = turns[np.isfinite(turns)]
    if not len(turns):
        raise RefusedError(
            "The hips are not seen in both pictures at that time.",
            try_next="Give another time, at which he stands still in both.",
            subject=swing.id,
        )
    stated = table()[full_name(_TURN, Moment.SET)].on_people(WIDER_ON_PEOPLE)
    return StickReading(
        mark_deg=mark_deg,
        read_deg=float(np.median(turns)),
        u_deg=hypot(stated.u_random, stated.u_systematic),
        moved_deg=float(np.std(turns)),
    )
