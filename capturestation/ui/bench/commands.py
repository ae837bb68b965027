"""What each key does on the Bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from capturestation.drawing.grid import Side
from capturestation.records import View
from capturestation.station.bench.state import Arrangement
from capturestation.ui.texts import say

if TYPE_CHECKING:
    from capturestation.ui.bench.place import BenchPlace

_ZOOM = 1.25
_QUARTER_DEG = 90.0


def bench_commands(place: BenchPlace) -> dict[str, Callable[[], None]]:
    """By the actions of the table of keys."""
    transport, state = place.state.transport, place.state
    return {
        "bench.previous_frame": lambda: transport.step(-1),
        "bench.next_frame": lambda: transport.step(1),
        "bench.play": transport.play_or_stop,
        "bench.stop": transport.stop,
        "bench.back": transport.back,
        "bench.forward": transport.forward,
        "bench.previous_moment": lambda: transport.next_moment(-1),
        "bench.next_moment": lambda: transport.next_moment(1),
        "bench.impact": lambda: transport.drag(0),
        "bench.contact": place.contact.ask,
        "bench.first": transport.home,
        "bench.last": transport.end,
        "bench.slower": transport.slower,
        "bench.faster": transport.faster,
        "bench.loop": place.transport.toggle_loop,
        "bench.previous_swing": lambda: place.look_at_neighbour(-1),
        "bench.next_swing": lambda: place.look_at_neighbour(1),
        "bench.star": place.star,
        "bench.one_angle": state.next_angle,
        "bench.bare": place.toggle_bare,
        "bench.zoom_in": lambda: place.canvas.zoom(_ZOOM),
        "bench.zoom_out": lambda: place.canvas.zoom(1 / _ZOOM),
        "bench.fit": state.fit,
        "bench.link": lambda: _link(place),
        "bench.flip": lambda: _flip(place),
        "bench.turn": lambda: _turn(place),
        "bench.mark": lambda: place.bar.popup(place.bar.mark_menu()),
        "bench.not_occur": lambda: place.bar.popup(place.bar.absent_menu()),
        "bench.earlier": place.toggle_earlier,
        "bench.over": lambda: _over(place),
        "bench.notes": place.show_exactly,
        **_remote(place),
        "bench.nudge_back": lambda: place.nudge_time(-1),
        "bench.nudge_on": lambda: place.nudge_time(1),
    }


def _remote(place: BenchPlace) -> dict[str, Callable[[], None]]:
    return {
        "remote.previous": lambda: place.remote.step(-1),
        "remote.next": lambda: place.remote.step(1),
        "remote.play": place.state.transport.play_or_stop,
        "remote.view": place.state.next_angle,
    }


def _framed(place: BenchPlace, view: View, *, flips: bool = False, turn_deg: float = 0.0) -> None:
    """Both swings of a view are turned alike: they are compared."""
    for side in Side:
        cell, framing = (side, view), place.state.framing((side, view))
        if flips:
            framing = replace(framing, is_flipped=not framing.is_flipped)
        place.state.set_framing(cell, framing.turned(turn_deg))


def _flip(place: BenchPlace) -> None:
    for view in place.state.views:
        _framed(place, view, flips=True)


def _turn(place: BenchPlace) -> None:
    """One angle alone, or the one that has the pointer, else all."""
    for view in place.state.views:
        _framed(place, view, turn_deg=_QUARTER_DEG)


def _link(place: BenchPlace) -> None:
    """Zoom and move all angles together, or each by itself."""
    place.state.link(is_linked=not place.state.is_linked)
    place.says.emit(say("bench.linked" if place.state.is_linked else "bench.unlinked"))


def _over(place: BenchPlace) -> None:
    """Beside, or laid over; lays the own best there where nothing is yet."""
    state = place.state
    beside = state.arrangement is Arrangement.BESIDE
    state.arrange(Arrangement.OVER if beside or state.then is None else Arrangement.BESIDE)
    if state.then is None:
        place.toggle_earlier()
