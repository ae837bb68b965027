"""Previous and next of a remote: from moment to moment, and beyond the last to the next swing.

Owns that nobody leaves a swing by one press too many: beyond the last moment a press says what the
next one does.
"""

from __future__ import annotations

from collections.abc import Callable

from capturestation.station.bench.transport import Transport
from capturestation.ui.texts import say


class RemoteSteps:
    """What two keys of a remote do on the Bench.

    Args:
        transport: Moves from moment to moment.
        neighbour: Opens the swing before (-1) or after (1).
        is_there: Whether there is a swing before or after.
        says: Says one calm sentence.
    """

    def __init__(
        self,
        transport: Transport,
        neighbour: Callable[[int], None],
        is_there: Callable[[int], bool],
        says: Callable[[str], None],
    ) -> None:
        self._transport, self._neighbour, self._says = transport, neighbour, says
        self._is_there = is_there
        self._warned = 0
        transport.moved.tell(self._forget)

    def step(self, way: int) -> None:
        """One moment on, or back where `way` is -1; there is none: first a word, then the swing."""
        before_ns = self._transport.at_ns
        self._transport.next_moment(way)
        if self._transport.at_ns != before_ns:
            return
        if self._warned == way:
            self._warned = 0
            self._neighbour(way)
        elif not self._is_there(way):
            self._says(say("bench.no_more"))
        else:
            self._warned = way
            self._says(say("bench.remote.last" if way > 0 else "bench.remote.first"))

    def _forget(self) -> None:
        self._warned = 0
