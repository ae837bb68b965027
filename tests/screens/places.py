"""What the Book and the Bench show."""

from __future__ import annotations

from datetime import date
from functools import partial

from capturestation.drawing.ground_lines import Ground
from capturestation.records import Moment, StudentId
from capturestation.station.bench.state import Arrangement
from capturestation.station.forgetting import Holding
from capturestation.station.leaf import Print
from capturestation.station.retention import Proposal, Reason
from capturestation.ui.bench.whole import Bench
from capturestation.ui.book.place import BookPlace
from capturestation.ui.texts import say
from capturestation.ui.window import Window
from tests.screens.screen import Screen

_LONG = "Maximiliane Charlotte Featherstonehaugh-Cholmondeley of the Long Name"


def _book(window: Window) -> BookPlace:
    window.go_to("book")
    place = window.places["book"]
    assert isinstance(place, BookPlace)
    return place


def _bench(window: Window) -> Bench:
    window.go_to("bench")
    place = window.places["bench"]
    assert isinstance(place, Bench)
    return place


def _look(window: Window) -> Bench:
    """Today's newest swing on the Bench."""
    swing = _book(window).swing
    assert swing is not None
    bench = _bench(window)
    bench.look_at(swing)
    return bench


def _show_beside(window: Window) -> None:
    bench = _bench(window)
    bench.restore({"earlier": "yes"})
    _look(window).state.arrange(Arrangement.BESIDE)


def _show_over(window: Window) -> None:
    _show_beside(window)
    _bench(window).state.arrange(Arrangement.OVER)


def _show_mat(window: Window) -> None:
    """What lies on the mat, drawn on both pictures."""
    _show_beside(window)
    shown = _bench(window).tools.grounds.state.shown
    for ground in (Ground.TARGET_LINE, Ground.GRID, Ground.TOES, Ground.PLANE):
        if ground not in shown:
            _bench(window).tools.grounds.toggle(ground)


def _leave_mat(window: Window) -> None:
    for ground in tuple(_bench(window).tools.grounds.state.shown):
        _bench(window).tools.grounds.toggle(ground)
    _leave(window)


def _at_top(window: Window) -> None:
    _show_beside(window)
    bench = _bench(window)
    bench.show_panel(None)


def _ready(window: Window) -> bool:
    """Both swings lie there and every picture has come."""
    bench = _bench(window)
    state, newest = bench.state, window.places["book"].swing
    lies_there = bench.swing == newest and state.then is not None and bench.is_settled
    return lies_there and bench.canvas.projection.is_complete


def _at_focus(window: Window) -> bool:
    """Both stand at the moment that the lesson works on: there they differ."""
    state = _bench(window).state
    if state.now is not None and _ready(window):
        at_ns = state.now.moments_ns[Moment.LEAD_ARM_LEVEL_DOWN]
        if state.transport.at_ns != at_ns:
            state.transport.drag(at_ns)
    return _ready(window)


def _panel(name: str, window: Window) -> None:
    _show_beside(window)
    _bench(window).show_panel(name)


def _form(window: Window) -> None:
    _book(window).commands()["book.change"]()


def _ask(name: str, window: Window) -> None:
    _book(window).commands()[f"book.{name}"]()


def _away(window: Window) -> None:
    """The month's end, with three who might be forgotten."""
    book = _book(window)
    held = Holding(swings=212, trashed=3, lessons=9, size_bytes=4_100_000_000)
    names = (("Ada Aumann", Reason.REFUSED), ("Bo Berg", Reason.AWAY), (_LONG, Reason.AWAY))
    found = [
        Proposal(
            student=StudentId(f"{number:032x}"),
            name=name,
            reason=reason,
            last=date(2024, 10 - number, 3) if number < len(names) - 1 else None,
            held=held,
        )
        for number, (name, reason) in enumerate(names)
    ]
    book.away_page.begin(24)
    book.show_over(book.away_page)
    book.away_page.put(found, say("book.away.text"))


def _leave(window: Window) -> None:
    for place in window.places.values():
        place.leave()
    bench = window.places["bench"]
    assert isinstance(bench, Bench)
    bench.show_panel(None)


def _printed(window: Window) -> bool:
    book = _book(window)
    prints = [line for line in book.page.model.lines if isinstance(line, Print)]
    return all(book.pictures.picture(one.swing) is not None for one in prints)


def _gathered(window: Window) -> bool:
    page = _book(window).weeks_page
    return bool(page.courses) or page.empty.text() != say("book.weeks.reading")


def _pictured(window: Window) -> bool:
    return all(one.print.has_picture for one in _book(window).views_page.views.values())


SCREENS = (
    Screen(name="book", show=lambda window: _nothing(_book(window)), ready=_printed, leave=_leave),
    Screen(name="book-student", show=_form, leave=_leave),
    *(
        Screen(name=f"book-{name}", show=partial(_ask, name), leave=_leave)
        for name in ("ball", "club", "move", "focus")
    ),
    Screen(name="book-views", show=partial(_ask, "views"), ready=_pictured, leave=_leave),
    Screen(name="book-weeks", show=partial(_ask, "weeks"), ready=_gathered, leave=_leave),
    Screen(name="book-away", show=_away, leave=_leave),
    Screen(name="bench", show=_at_top, ready=_at_focus, leave=_leave),
    Screen(name="bench-over", show=_show_over, ready=_at_focus, leave=_leave),
    Screen(name="bench-mat", show=_show_mat, ready=_at_focus, leave=_leave_mat),
    *(
        Screen(
            name=f"bench-{name}",
            show=partial(_panel, name),
            ready=_ready,
            leave=_leave,
        )
        for name in ("sketch", "earlier", "send", "measures")
    ),
)


def _nothing(_place: object) -> None:
    """A screen's way gives nothing back."""
