"""What the tool reads of a stick that is held across the hips over a mark on the floor.

Owns the coach's check of one minute: stand as at set, turn until the stick lies over a mark laid at
45 degrees, stand still, and see how far the reading is off: by pictures, and in space too where the
bay is measured. Needs a recording that was analysed, so that its tracks are there; changes nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from capturestation.errors import RefusedError
from capturestation.library import Library
from capturestation.records import NS_PER_S, Mark, Moment, Swing, hand_mark
from capturestation.station.cache import Cache
from capturestation.station.figures import figures_of
from capturestation.station.seen_tracks import kept_tracks
from capturestation.swing.figure import Figure
from capturestation.swing.measures import MEASURES, full_name
from capturestation.swing.measuring import WIDER_ON_PEOPLE, Errors, curve, may_not_hold, table
from capturestation.swing.measuring_in_space import factors, offsets
from capturestation.swing.space import parts_of

MARK_DEG = 45.0
_STILL_NS = round(0.25 * NS_PER_S)
_TURN = MEASURES[0]
_NAME = full_name(_TURN, Moment.SET)
_NOT_IN_SPACE = "Rays to the hips don't meet in the bay at that time."


@dataclass(frozen=True, slots=True, kw_only=True)
class StickReading:
    """What was read one way.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class StickCheck:
    """What was read both ways.

    Args:
        mark_deg: What the stick lay at, closed positive.
        pictures: By pictures.
        space: In space; None where that can't be told.
        why: Why not, a sentence; empty where nobody measured the bay for this swing.
    """

    mark_deg: float
    pictures: StickReading
    space: StickReading | None = None
    why: str = ""


def read_stick(
    library: Library, cache: Cache, swing: Swing, at_ns: int, *, mark_deg: float = MARK_DEG
) -> StickCheck:
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
    still = hand_mark(Moment.SET, at_ns)
    there = Swing(facts=swing.facts, book=replace(swing.book, marks=(still,)))
    figures = figures_of(library, placed, there)
    if figures.pictures is None:
        raise RefusedError(
            "Nobody has looked through that recording yet.",
            try_next="Analyse it first, with the body model there.",
            subject=swing.id,
        )
    stated = table()[_NAME].on_people(WIDER_ON_PEOPLE)
    u_deg = hypot(stated.u_random, stated.u_systematic)
    flat = _reading(figures.pictures, still, mark_deg, u_deg, table())
    if flat is None:
        raise RefusedError(
            "The hips are not seen in both pictures at that time.",
            try_next="Give another time, at which he stands still in both.",
            subject=swing.id,
        )
    space, why = None, figures.why
    if figures.space is not None:
        u_deg = _u_in_space_deg(figures.space, at_ns)
        space = _reading(figures.space, still, mark_deg, u_deg, offsets())
        why = "" if space is not None else _NOT_IN_SPACE
    return StickCheck(mark_deg=mark_deg, pictures=flat, space=space, why=why)


def _reading(
    figure: Figure, still: Mark, mark_deg: float, u_deg: float, errors: Mapping[str, Errors]
) -> StickReading | None:
    """The turn while he stood still; None where the hips are not seen."""
    assert still.at_ns is not None
    near = np.abs(figure.times_ns - still.at_ns) <= _STILL_NS
    turns = curve(figure, _TURN, (still,), errors=errors)[near]
    turns = turns[np.isfinite(turns)]
    if not len(turns) or not np.isfinite(u_deg):
        return None
    off_deg = float(np.median(turns)) - mark_deg
    return StickReading(
        mark_deg=mark_deg,
        # How often he turned round before that counts for nothing.
        read_deg=mark_deg + (off_deg + 180.0) % 360.0 - 180.0,
        u_deg=u_deg,
        moved_deg=float(np.std(turns)),
    )


def _u_in_space_deg(figure: Figure, at_ns: int) -> float:
    """What is stated of the hips' turn at set in space; NaN where the points tell no error."""
    parts, known = parts_of(figure, _TURN.value, at_ns, at_ns), factors()[_NAME]
    if parts is None:
        return float("nan")
    model = hypot(known.random, known.systematic) * WIDER_ON_PEOPLE * parts.own
    return hypot(model, parts.bay, parts.phase, may_not_hold(known.offset))
