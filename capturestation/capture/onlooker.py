"""The thread that watches for swings of which nothing is heard, where that is wished.

Owns a glance, twenty times a second, at one camera, and at no other: what is recorded is not
touched. What is seen swinging is handed on; whether it is kept already, the bay knows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from capturestation.capture.regular import Regular
from capturestation.capture.source import Life, Source
from capturestation.media.glance import Glance
from capturestation.media.packets import Packet
from capturestation.records import FrameArray, View
from capturestation.records.capture import SourceState

_EACH_S = 0.5
_STEP_NS = 45_000_000
# Twenty pictures a second show the top of a swing as a pause.
_LONG_PX = 320
_MOST_GAP_NS = 400_000_000
# After a longer hole what comes does not follow on what came.


class Mover(Protocol):
    """Says when somebody swung, from small pictures one after another."""

    def see(self, at_ns: int, grey: FrameArray) -> int | None:
        """Take the next picture; gives when a swing was fastest, once for each."""

    def forget(self) -> None:
        """Begin anew."""


class Blind:
    """Sees nobody swing."""

    def see(self, at_ns: int, grey: FrameArray) -> int | None:
        """Nothing."""

    def forget(self) -> None:
        """Nothing."""


class Onlooker(Regular):
    """Watches until it is stopped, while it is wanted.

    Args:
        sources: The cameras.
        mover: Knows a swing.
        swung: Is told when one was, from this thread.
    """

    def __init__(
        self, sources: Sequence[Source], mover: Mover, swung: Callable[[int], None]
    ) -> None:
        super().__init__("onlooker", _EACH_S)
        self.is_wanted = False
        self._sources = sources
        self._mover = mover
        self._swung = swung
        self._glance: tuple[Life, Glance] | None = None
        self._last_ns = self._shown_ns = self._seen_ns = 0
        # Looked at up to there: as it came, by its own stamps, and decoded.

    def turn(self) -> None:
        """See what came since the last one."""
        if self.is_wanted:
            self._watch()
        else:
            self._glance = None

    def _watch(self) -> None:
        source = self._chosen()
        life = None if source is None else source.life
        if source is None or life is None:
            return
        glance = self._glance_of(life, source.setting.rotation_deg)
        packets = life.pictures.since(self._last_ns)
        wanted = self._wanted(packets, life)
        if all(packet.is_key for packet in packets):
            packets = [packet for packet in packets if packet.pts in wanted]
        for pts, grey in glance.greys(packets):
            if pts in wanted:
                self._see(wanted[pts], grey)

    def _wanted(self, packets: Sequence[Packet], life: Life) -> dict[int, int]:
        """Stamp and host time of those that are new and far enough apart."""
        fit = life.clock.line()
        wanted: dict[int, int] = {}
        for packet in packets:
            if packet.host_ns <= self._last_ns:
                continue
            self._last_ns = packet.host_ns
            at_ns = fit.host_ns(packet.device_ns)
            if at_ns - self._shown_ns >= _STEP_NS:
                self._shown_ns = wanted[packet.pts] = at_ns
        return wanted

    def _see(self, at_ns: int, grey: FrameArray) -> None:
        if at_ns - self._seen_ns > _MOST_GAP_NS:
            self._mover.forget()
        elif at_ns <= self._seen_ns:
            return
        self._seen_ns = at_ns
        swung_ns = self._mover.see(at_ns, grey)
        if swung_ns is not None:
            self._swung(swung_ns)

    def _glance_of(self, life: Life, rotation_deg: int) -> Glance:
        """What decodes this connection; another one, or after a rest, begins with what comes."""
        if self._glance is None or self._glance[0] is not life:
            self._glance = life, Glance(life.head, long_px=_LONG_PX, rotation_deg=rotation_deg)
            self._mover.forget()
            newest = life.pictures.newest_key()
            self._last_ns = 0 if newest is None else newest.host_ns
            self._shown_ns = self._seen_ns = 0
        return self._glance[1]

    def _chosen(self) -> Source | None:
        """Face-on, where the top of a swing is clearest, or whatever sends."""
        up = [source for source in self._sources if source.state is SourceState.UP]
        return min(up, key=lambda one: one.setting.view is not View.FACE_ON, default=None)
