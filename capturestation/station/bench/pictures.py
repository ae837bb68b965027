"""Pictures for the fields, made beside the window: one thread for each view.

Owns the threads, what they have made and how much of it is kept. Only the newest wish counts;
when it is done, what will probably be wanted next is made. A thread alone touches the angles of
its view, closing them included, so nobody waits for a decoder.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from capturestation.drawing.grid import Side
from capturestation.errors import StationError
from capturestation.media.screen import Screen
from capturestation.records import FrameArray, View
from capturestation.station.bench.making import NotWantedError, picture_of
from capturestation.station.bench.seen import Frames
from capturestation.station.bench.wishes import PictureWish

MOST_KEPT_MB = 96
"""Some fifty fields of half a full-HD screen; four angles keep decoded frames beside."""
_JOIN_S = 10.0


@dataclass(slots=True, kw_only=True)
class _Desk:
    """What lies before one view's thread."""

    thread: threading.Thread | None = None
    wanted: tuple[PictureWish, ...] = ()
    frames: dict[Side, Frames] = field(default_factory=dict)
    done_with: list[Frames] = field(default_factory=list)
    screen: Screen = field(default_factory=Screen)


class PictureRoom:
    """Makes the fields' pictures; close it, or use it in a `with` block.

    Args:
        arrived: Called from a maker's thread whenever something new is there.
        most_mb: How much of it is kept.
    """

    def __init__(self, arrived: Callable[[], None], *, most_mb: int = MOST_KEPT_MB) -> None:
        self._arrived = arrived
        self._room_bytes = most_mb << 20
        self._turn = threading.Condition()
        self._desks: dict[View, _Desk] = {}
        self._made: OrderedDict[PictureWish, FrameArray] = OrderedDict()
        self._made_bytes = 0
        self._failed: dict[PictureWish, StationError] = {}
        self._fault: BaseException | None = None
        self._closed = False

    def __enter__(self) -> PictureRoom:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def show(self, side: Side, frames: Mapping[View, Frames]) -> None:
        """Take over the open angles of a swing; those shown before are closed.

        Args:
            side: Today's or the earlier swing.
            frames: Its angles, from now on this room's to close; none to show none.
        """
        unseen: list[Frames] = []
        with self._turn:
            for view in [*frames, *(view for view in self._desks if view not in frames)]:
                desk = self._desks.setdefault(view, _Desk())
                old = desk.frames.pop(side, None)
                if old is not None:
                    (unseen if desk.thread is None else desk.done_with).append(old)
                if view in frames:
                    desk.frames[side] = frames[view]
                desk.wanted = ()
            self._forget(side)
            self._turn.notify_all()
        for old in unseen:
            old.close()

    def ask(self, wishes: Sequence[PictureWish]) -> None:
        """Want these, first things first; what was wanted before counts no more."""
        with self._turn:
            if self._closed:
                return
            for view, desk in self._desks.items():
                desk.wanted = tuple(wish for wish in wishes if wish.view is view)
                if desk.wanted and desk.thread is None:
                    name = f"pictures {view}"
                    desk.thread = threading.Thread(
                        target=self._work, args=(desk,), name=name, daemon=True
                    )
                    desk.thread.start()
            self._turn.notify_all()

    def ready(self, wish: PictureWish) -> FrameArray | None:
        """The picture, (H, W, 4) as Qt's RGB32; None while it isn't made.

        Raises:
            StationError: If its file can't be read.
        """
        with self._turn:
            if self._fault is not None:
                raise self._fault
            if wish in self._failed:
                raise self._failed[wish]
            found = self._made.get(wish)
            if found is not None:
                self._made.move_to_end(wish)
            return found

    def forget(self) -> None:
        """Throw away what was made: it can be made better now, or fields have another size."""
        with self._turn:
            self._made.clear()
            self._failed.clear()
            self._made_bytes = 0

    def close(self) -> None:
        """End the threads and close all angles."""
        with self._turn:
            self._closed = True
            self._turn.notify_all()
            threads = [desk.thread for desk in self._desks.values() if desk.thread is not None]
        for thread in threads:
            thread.join(_JOIN_S)
        with self._turn:
            for desk in self._desks.values():
                for frames in (*desk.frames.values(), *desk.done_with):
                    frames.close()
            self._desks.clear()
            self._made.clear()
            self._made_bytes = 0

    def _forget(self, side: Side) -> None:
        """What was made of a swing that is no more there."""
        for wish in [wish for wish in self._made if side in _sides(wish)]:
            self._made_bytes -= self._made.pop(wish).nbytes
        self._failed = {w: e for w, e in self._failed.items() if side not in _sides(w)}

    def _work(self, desk: _Desk) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: self._closed or desk.done_with or self._next(desk))
                if self._closed:
                    return
                finished, desk.done_with = desk.done_with, []
                wish, frames = self._next(desk), dict(desk.frames)
            for old in finished:
                old.close()
            if wish is not None:
                self._make(desk, wish, frames)
                with self._turn:
                    # Once for each time it is asked for, even if there is no room to keep it.
                    desk.wanted = tuple(other for other in desk.wanted if other != wish)

    def _next(self, desk: _Desk) -> PictureWish | None:
        """The first that is wanted and can be made."""
        for wish in desk.wanted:
            known = wish in self._made or wish in self._failed
            if not known and _sides(wish) <= desk.frames.keys():
                return wish
        return None

    def _is_wanted(self, desk: _Desk, wish: PictureWish) -> bool:
        """Whether nothing else is waited for; what nobody waits for may as well be finished."""
        with self._turn:
            return wish in desk.wanted or self._next(desk) is None

    def _make(self, desk: _Desk, wish: PictureWish, frames: Mapping[Side, Frames]) -> None:
        try:
            picture = picture_of(wish, frames, desk.screen, lambda: self._is_wanted(desk, wish))
        except NotWantedError:
            return
        except StationError as error:
            with self._turn:
                self._failed[wish] = error
        except BaseException as bug:  # noqa: BLE001 - handed to whoever asks, on their thread
            with self._turn:
                self._fault, desk.wanted = bug, ()
        else:
            with self._turn:
                # A swing that was exchanged meanwhile shows another picture by this name.
                if all(desk.frames.get(side) is frames[side] for side in _sides(wish)):
                    self._keep(wish, picture)
        self._arrived()

    def _keep(self, wish: PictureWish, picture: FrameArray) -> None:
        self._made[wish] = picture
        self._made_bytes += picture.nbytes
        while self._made_bytes > self._room_bytes and len(self._made) > 1:
            _, oldest = self._made.popitem(last=False)
            self._made_bytes -= oldest.nbytes


def _sides(wish: PictureWish) -> set[Side]:
    return {wish.base.side} if wish.over is None else {wish.base.side, wish.over.side}
