"""Moments, star and nudges are shown at once, written after, and can be taken back."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from capturestation.errors import MarkRefusedError, StationError
from capturestation.library import Library
from capturestation.records import MarkSource, Moment, Swing, View
from capturestation.station.bench.seen import SeenSwing
from capturestation.station.bench.state import BenchState
from capturestation.station.bench.steps import Steps, absent, by_hand
from capturestation.station.laying import Nudge
from capturestation.station.undo import UndoList
from tests.helpers.seen_swings import MS, even_frames
from tests.helpers.station_library import Filled


class Bench:
    """A state over a library, whose changes are written when the test says so."""

    def __init__(self, library: Library, swing: Swing) -> None:
        self.library = library
        self.state = BenchState()
        frames = {recording.view: even_frames() for recording in swing.facts.recordings}
        self.state.open_now(SeenSwing(swing=swing, frames=frames, word="today"))
        self.waiting: list[Callable[[], Swing]] = []
        self.undo = UndoList()
        self.does = Steps(self.state, library, self.take, self.undo)

    def take(self, op: Callable[[], Swing], failed: Callable[[], None]) -> None:
        """Have it written later; what can't be is told then."""

        def write() -> Swing:
            try:
                return op()
            except StationError:
                failed()
                raise

        self.waiting.append(write)

    def write(self) -> Swing:
        """Write what waits, in order."""
        while self.waiting:
            self.waiting.pop(0)()
        return self.library.swing(self.swing.id)

    @property
    def swing(self) -> Swing:
        """As it is shown."""
        assert self.state.now is not None
        return self.state.now.swing

    def hand(self, moment: Moment, swing: Swing | None = None) -> list[int | None]:
        """What a hand marked."""
        marks = (swing or self.swing).book.marks
        return [m.at_ns for m in marks if m.moment is moment and m.source is MarkSource.HAND]


@pytest.fixture
def bench(filled: Filled) -> Iterator[Bench]:
    with Library.open(filled.folder) as library:
        yield Bench(library, library.swing(filled.best.id))


def test_a_moved_moment_shows_at_once_and_is_written_after(bench: Bench) -> None:
    mark = by_hand(bench.swing, Moment.SHAFT_LEVEL_DOWN, -50 * MS)
    bench.undo.run(bench.does.mark(bench.swing, Moment.SHAFT_LEVEL_DOWN, mark, "moved"))
    shown = bench.hand(Moment.SHAFT_LEVEL_DOWN)
    unwritten = bench.hand(Moment.SHAFT_LEVEL_DOWN, bench.library.swing(bench.swing.id))
    written = bench.hand(Moment.SHAFT_LEVEL_DOWN, bench.write())

    assert (shown, unwritten, written) == ([-50 * MS], [-60 * MS], [-50 * MS])


def test_undo_and_redo_show_and_write_again(bench: Bench) -> None:
    mark = by_hand(bench.swing, Moment.SHAFT_LEVEL_DOWN, -50 * MS)
    bench.undo.run(bench.does.mark(bench.swing, Moment.SHAFT_LEVEL_DOWN, mark, "moved"))
    bench.undo.undo()
    undone = bench.hand(Moment.SHAFT_LEVEL_DOWN), bench.hand(Moment.SHAFT_LEVEL_DOWN, bench.write())
    bench.undo.redo()

    assert undone == ([-60 * MS], [-60 * MS])
    assert bench.hand(Moment.SHAFT_LEVEL_DOWN, bench.write()) == [-50 * MS]


def test_a_first_mark_taken_back_leaves_none(bench: Bench) -> None:
    mark = by_hand(bench.swing, Moment.SHAFT_LEVEL_THROUGH, 50 * MS)
    bench.undo.run(bench.does.mark(bench.swing, Moment.SHAFT_LEVEL_THROUGH, mark, "marked"))
    bench.undo.undo()

    assert bench.hand(Moment.SHAFT_LEVEL_THROUGH, bench.write()) == []


def test_out_of_order_is_refused_and_nothing_changes(bench: Bench) -> None:
    before = bench.swing
    mark = by_hand(bench.swing, Moment.SHAFT_LEVEL_DOWN, 80 * MS)

    with pytest.raises(MarkRefusedError):
        bench.undo.run(bench.does.mark(before, Moment.SHAFT_LEVEL_DOWN, mark, "moved"))

    assert (bench.swing, bench.waiting, bench.undo.undo_words) == (before, [], "")


def test_a_moment_may_not_occur_and_then_does_again(bench: Bench) -> None:
    moment = Moment.SHAFT_LEVEL_DOWN
    bench.undo.run(bench.does.mark(bench.swing, moment, absent(moment), "absent"))
    assert bench.state.now is not None
    gone = moment in bench.state.now.moments_ns
    bench.undo.undo()

    assert not gone
    assert bench.state.now.moments_ns[moment] == -60 * MS


def test_a_star_is_taken_back(bench: Bench) -> None:
    bench.undo.run(bench.does.star(bench.swing, "star taken away"))
    without = bench.write().book.starred
    bench.undo.undo()

    assert (without, bench.write().book.starred) == (False, True)


def test_nudges_are_taken_back_one_by_one(bench: Bench) -> None:
    bench.undo.run(bench.does.nudge_time(4 * MS, "on"))
    bench.undo.run(bench.does.nudge_time(4 * MS, "on"))
    bench.undo.run(bench.does.nudge_place(View.FACE_ON, Nudge(dx=0.1), "right"))
    moved = bench.state.nudge_ns, bench.state.nudge(View.FACE_ON).dx
    bench.undo.undo()
    bench.undo.undo()

    assert moved == (8 * MS, 0.1)
    assert (bench.state.nudge_ns, bench.state.nudge(View.FACE_ON)) == (4 * MS, Nudge())


def test_another_window_s_mark_stays_when_ours_is_written(bench: Bench, filled: Filled) -> None:
    mark = by_hand(bench.swing, Moment.SHAFT_LEVEL_DOWN, -50 * MS)
    bench.undo.run(bench.does.mark(bench.swing, Moment.SHAFT_LEVEL_DOWN, mark, "moved"))
    from_elsewhere = bench.does.mark(
        bench.swing,
        Moment.SHAFT_LEVEL_THROUGH,
        by_hand(bench.swing, Moment.SHAFT_LEVEL_THROUGH, 50 * MS),
        "x",
    )
    from_elsewhere.do()
    bench.waiting.reverse()

    written = bench.write()

    assert bench.hand(Moment.SHAFT_LEVEL_DOWN, written) == [-50 * MS]
    assert bench.hand(Moment.SHAFT_LEVEL_THROUGH, written) == [50 * MS]
