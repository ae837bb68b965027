"""What is measured of the swings on a Bench: values at the moment shown, changes, curves.

Owns which lines there are to read and in which order: what the lesson works on comes first. Values
are the swings' own; changes and curves are worked out in `read`, which may run beside the window.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from capturestation.compare.differences import value_words
from capturestation.drawing.grid import Cell, Side
from capturestation.library import Library
from capturestation.records import FloatArray, Hand, IntArray, Moment, Result, Swing, View
from capturestation.station.analysing import is_current, of_measures
from capturestation.station.bench.notice import Notice
from capturestation.station.bench.state import BenchState
from capturestation.station.cache import Cache
from capturestation.station.comparing import ChangeRow, changes
from capturestation.station.figures import Figures, bodies_of, figures_of
from capturestation.station.odd_views import odd_of
from capturestation.station.seen_tracks import kept_tracks
from capturestation.station.standpoints import standpoints
from capturestation.swing.focus import spoken_of
from capturestation.swing.held import HELD
from capturestation.swing.measures import MEASURES, Measure, full_name, sides_of
from capturestation.swing.measuring import IN_SPACE, curve, scale_of
from capturestation.swing.measuring_in_space import offsets
from capturestation.swing.oddities import Oddity
from capturestation.swing.tracks import BodyTrack

_MINUS = "\N{MINUS SIGN}"
FIRST = MEASURES[0].name
"""Whose curve is shown unless the lesson works on another or one is chosen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueLine:
    """One measure at one moment.

    Args:
        name: Of the measure.
        moment: Where it was taken.
        words: Today's value with its error, or why there is none.
        then_words: The earlier swing's, empty where there is none.
        change_words: By how much it is another than that one's; empty where nothing was compared.
        has_changed: Whether that is a clear change.
        is_focus: Whether the lesson works on it.
        is_missing: Whether the words say why there is no value.
    """

    name: str
    moment: Moment
    words: str
    then_words: str = ""
    change_words: str = ""
    has_changed: bool = False
    is_focus: bool = False
    is_missing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine:
    """One clear change from the earlier swing to today's."""

    name: str
    moment: Moment
    words: str
    is_focus: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenCurve:
    """A measure over time, on the swing's own clock.

    Args:
        times_ns: (n,)
        values: (n,) in its unit; NaN where it isn't known.
        unit: As results have it.
    """

    times_ns: IntArray
    values: FloatArray
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadMeasures:
    """What was read of the swings that lie there.

    Args:
        swings: Of which, as they were.
        changes: From the earlier swing to today's, clear ones and others.
        curves: By swing and measure.
        bodies: The cleaned tracks of each picture, for a stick figure.
        has_tracks: Whether curves and bodies were asked for.
        odd: What a coach should look at in how today's swing was filmed.
    """

    swings: Mapping[Side, Swing]
    changes: tuple[ChangeRow, ...] = ()
    curves: Mapping[Side, Mapping[str, SeenCurve]] = field(default_factory=dict)
    bodies: Mapping[Cell, BodyTrack] = field(default_factory=dict)
    has_tracks: bool = False
    odd: tuple[Oddity, ...] = ()


class BenchMeasures:
    """The measures of what lies on a Bench.

    Args:
        state: What lies there, and where we are.

    Attributes:
        changed: Something else is to be read or drawn.
        has_sticks: Whether a stick figure is drawn.
        chosen: The measure whose curve is shown; empty for the lesson's own.
    """

    def __init__(self, state: BenchState) -> None:
        self.state = state
        self.changed = Notice()
        self.has_sticks = False
        self.chosen = ""
        self._focus: frozenset[str] = frozenset()
        self._read: ReadMeasures | None = None

    def work_on(self, focus: Sequence[str]) -> None:
        """Say what the lesson works on."""
        self._focus = spoken_of(focus)
        self.changed()

    def choose(self, measure: str) -> None:
        """Show that measure's curve."""
        if measure != self.chosen:
            self.chosen = measure
            self.changed()

    def choose_next(self, way: int = 1) -> None:
        """Show the curve of the next measure that has one."""
        names = [measure.name for measure in MEASURES]
        here = names.index(self.measure.name)
        order = [names[(here + way * n) % len(names)] for n in range(1, len(names) + 1)]
        known = self.curves_known()
        self.choose(next((name for name in order if name in known), self.measure.name))

    def draw_sticks(self, *, is_on: bool) -> None:
        """Draw a stick figure, or none."""
        self.has_sticks = is_on
        self.changed()

    def take(self, read: ReadMeasures | None) -> None:
        """Take up what was read."""
        self._read = read
        self.changed()

    @property
    def swings(self) -> dict[Side, Swing]:
        """What lies there."""
        return {side: seen.swing for side in Side if (seen := self.state.seen(side)) is not None}

    def is_read(self, *, with_tracks: bool = False) -> bool:
        """Whether what lies there was read as it is now, curves and bodies too."""
        read = self._fitting()
        return read is not None and (read.has_tracks or not with_tracks)

    def is_analysed(self, side: Side = Side.NOW) -> bool:
        """Whether a swing was looked at by this method."""
        seen = self.state.seen(side)
        return seen is not None and is_current(seen.swing)

    @property
    def measure(self) -> Measure:
        """The measure whose curve is shown."""
        wanted = self.chosen or next((m.name for m in MEASURES if m.name in self._focus), FIRST)
        return next(measure for measure in MEASURES if measure.name == wanted)

    def moment(self) -> Moment | None:
        """The moment whose values are shown: the nearest that is measured; None without any."""
        now = self.state.now
        if now is None:
            return None
        measured = {result.moment for result in of_measures(now.swing.book.results)}
        times = {m: at for m, at in now.moments_ns.items() if m in measured}
        at_ns = self.state.transport.at_ns
        return min(times, key=lambda m: abs(times[m] - at_ns), default=None)

    @property
    def is_on_moment(self) -> bool:
        """Whether we stand on that moment, not beside it."""
        now, moment = self.state.now, self.moment()
        if now is None or moment is None:
            return False
        transport = self.state.transport
        return abs(now.moments_ns[moment] - transport.at_ns) <= transport.frame_ns // 2 + 1

    def lines(self) -> tuple[ValueLine, ...]:
        """The measures at the moment shown: what the lesson works on, then others, then missing."""
        moment, now, then = self.moment(), self.state.now, self.state.then
        if moment is None or now is None:
            return ()
        ours = _by_name(now.swing)
        theirs = {} if then is None else _by_name(then.swing)
        names = [(m.name, full_name(m, moment)) for m in MEASURES if moment in m.moments]
        if moment is Moment.FINISH:
            names.append((HELD, HELD))
        found = [
            self._line(name, moment, ours[full], theirs.get(full))
            for name, full in names
            if full in ours
        ]
        return tuple(sorted(found, key=lambda line: (not line.is_focus, line.is_missing)))

    def _line(self, name: str, moment: Moment, ours: Result, theirs: Result | None) -> ValueLine:
        earlier = "" if theirs is None or theirs.measured is None else _words(theirs)
        read = self._fitting()
        rows = () if read is None else read.changes
        row = next((one for one in rows if one.name == ours.name), None)
        return ValueLine(
            name=name,
            moment=moment,
            words=ours.why_missing if ours.measured is None else _words(ours),
            then_words=earlier,
            change_words="" if row is None else _short(row.words),
            has_changed=row is not None and row.is_clear,
            is_focus=name in self._focus,
            is_missing=ours.measured is None,
        )

    def changes(self) -> tuple[ChangeLine, ...]:
        """What clearly changed since the earlier swing, what the lesson works on first."""
        read = self._fitting()
        found = []
        for row in () if read is None else read.changes:
            name, _, moment = row.name.partition(", ")
            if row.is_clear and moment in set(Moment):
                words = _short(row.words)
                at = Moment(moment)
                is_focus = name in self._focus
                found.append(ChangeLine(name=name, moment=at, words=words, is_focus=is_focus))
        return tuple(sorted(found, key=lambda line: not line.is_focus))

    def odd(self) -> tuple[Oddity, ...]:
        """What a coach should look at in how today's swing was filmed."""
        read = self._fitting()
        return () if read is None else read.odd

    @property
    def has_compared(self) -> bool:
        """Whether the two were compared at any moment, so that no change means that none is clear.

        Their tempo alone, which every two swings have, says nothing of what is listed here.
        """
        read = self._fitting()
        rows = () if read is None else read.changes
        return any(row.name.partition(", ")[2] in set(Moment) for row in rows)

    def curves_known(self) -> frozenset[str]:
        """The measures that have a curve of today's swing."""
        read = self._fitting()
        curves = {} if read is None else read.curves.get(Side.NOW, {})
        return frozenset(name for name, one in curves.items() if np.isfinite(one.values).any())

    def curves(self) -> dict[Side, SeenCurve]:
        """The chosen measure over time, both on today's clock."""
        read, found = self._fitting(), {}
        for side, by_name in {} if read is None else read.curves.items():
            one = by_name.get(self.measure.name)
            if one is None or not np.isfinite(one.values).any():
                continue
            times_ns = one.times_ns
            if side is Side.THEN and self.state.time_map is not None:
                times_ns = self.state.time_map.now_from_then(times_ns - self.state.nudge_ns)
            found[side] = replace(one, times_ns=times_ns)
        return found

    def joints_px(self, cell: Cell, at_ns: int) -> FloatArray | None:
        """Where the joints of a picture are at a time of its swing, (21, 2); None where unknown."""
        read = self._fitting()
        body = None if read is None or not self.has_sticks else read.bodies.get(cell)
        if body is None or not len(body.times_ns):
            return None
        after = int(np.clip(body.times_ns.searchsorted(at_ns), 1, len(body.times_ns) - 1))
        near = after - (at_ns - body.times_ns[after - 1] <= body.times_ns[after] - at_ns)
        joints: FloatArray = body.joints_px[near]
        return joints

    def _fitting(self) -> ReadMeasures | None:
        """What was read, while it is of the swings that lie there as they are."""
        read = self._read
        if read is None or {s: _mark_of(one) for s, one in read.swings.items()} != {
            s: _mark_of(one) for s, one in self.swings.items()
        }:
            return None
        return read


def read_measures(
    library: Library, cache: Cache, swings: Mapping[Side, Swing], *, with_tracks: bool
) -> ReadMeasures:
    """Work out what a Bench shows of the measures; takes its time.

    Args:
        library: Asked for the player's own spread.
        cache: Where tracks lie.
        swings: What lies there.
        with_tracks: Whether curves and bodies too, which take longer.
    """
    now, then = swings.get(Side.NOW), swings.get(Side.THEN)
    rows = changes(library, now, then) if now is not None and then is not None else ()
    odd = () if now is None else odd_of(library, cache, now)
    if not with_tracks:
        return ReadMeasures(swings=swings, changes=rows, odd=odd)
    curves: dict[Side, Mapping[str, SeenCurve]] = {}
    bodies: dict[Cell, BodyTrack] = {}
    for side, swing in swings.items():
        hand = library.student(swing.book.student_id).hand
        by_view, by_name = _tracks(library, cache, swing, hand)
        bodies |= {(side, view): body for view, body in by_view.items()}
        curves[side] = by_name
    return ReadMeasures(
        swings=swings, changes=rows, curves=curves, bodies=bodies, has_tracks=True, odd=odd
    )


def _tracks(
    library: Library, cache: Cache, swing: Swing, hand: Hand
) -> tuple[dict[View, BodyTrack], dict[str, SeenCurve]]:
    """Bodies as they were seen, and all measures over time."""
    kept = kept_tracks(cache.folder(swing.id))
    placed = {s.view: kept[s.view].placed(s) for s in swing.book.syncs if s.view in kept}
    bodies = bodies_of(placed, hand, standpoints(library, swing))
    figures = figures_of(library, placed, swing)
    if figures.pictures is None:
        return bodies, {}
    return bodies, {measure.name: _curve(figures, measure, swing) for measure in MEASURES}


def _curve(figures: Figures, measure: Measure, swing: Swing) -> SeenCurve:
    """A measure over time, made as its values were; by pictures where space has none of it."""
    told = {r.method for r in of_measures(swing.book.results) if _is_of(r, measure) and r.measured}
    pictures, space = figures.pictures, figures.space
    assert pictures is not None
    if space is not None and any(method.endswith(IN_SPACE) for method in told):
        values = curve(space, measure, swing.book.marks, errors=offsets())
        unit = scale_of(space, measure)[1]
        return SeenCurve(times_ns=space.times_ns, values=values, unit=unit)
    values = curve(pictures, measure, swing.book.marks)
    return SeenCurve(times_ns=pictures.times_ns, values=values, unit=scale_of(pictures, measure)[1])


def _is_of(result: Result, measure: Measure) -> bool:
    return result.name.startswith(f"{measure.name}, ")


def _by_name(swing: Swing) -> dict[str, Result]:
    return {result.name: result for result in of_measures(swing.book.results)}


def _words(result: Result) -> str:
    """A value as it is read on the screen."""
    assert result.measured is not None
    return _short(value_words(result.measured, sides_of(result.name)))


def _short(words: str) -> str:
    """As a screen says it: degrees as a sign, a unit once."""
    once = re.sub(r"(% of height|cm)(.*± [\d.]+) \1", r"\1\2", words.replace(" deg", "°"))
    return re.sub(r"(?<![\w.])-(?=\d)", _MINUS, once)


def _mark_of(swing: Swing) -> tuple[object, ...]:
    """What makes measures of a swing others."""
    return swing.id, swing.book.results, swing.book.syncs, swing.book.marks
