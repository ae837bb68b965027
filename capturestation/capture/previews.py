"""Small live pictures for whoever sets up the cameras.

Owns a thread that looks at the newest packet that stands for itself, and at no other: what is
recorded is not touched, and where a picture is not taken in time the next one replaces it.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Sequence

from capturestation.capture.messages import Preview
from capturestation.capture.regular import Regular
from capturestation.capture.source import Life, Source
from capturestation.media.glance import Glance
from capturestation.records.capture import SourceState


class Previews(Regular):
    """Sends previews until it is stopped.

    Args:
        sources: The cameras.
        long_px: Longer side; 0 sends none.
        rate_hz: At most so many of each camera a second.
        tell: Takes them, never waiting.
    """

    def __init__(
        self,
        sources: Sequence[Source],
        *,
        long_px: int,
        rate_hz: int,
        tell: Callable[[Preview], None],
    ) -> None:
        super().__init__("previews", 1 / rate_hz)
        self._sources = sources
        self._long_px = long_px
        self._tell = tell
        self._glances: dict[int, tuple[Life, Glance]] = {}
        self._shown: dict[int, int] = {}

    def start(self) -> None:
        """Begin, if any are wanted."""
        if self._long_px:
            super().start()

    def turn(self) -> None:
        """Show what each camera sends."""
        for source in self._sources:
            self._show(source)

    def _show(self, source: Source) -> None:
        life = source.life
        if life is None or source.state is not SourceState.UP:
            return
        packet = life.pictures.newest_key()
        if packet is None or self._shown.get(id(source)) == packet.host_ns:
            return
        self._shown[id(source)] = packet.host_ns
        jpeg = self._glance(source, life).jpeg(packet)
        if jpeg:
            self._tell(
                Preview(
                    view=source.setting.view,
                    at_host_ns=packet.host_ns,
                    rotation_deg=source.setting.rotation_deg,
                    jpeg=base64.b64encode(jpeg).decode("ascii"),
                )
            )

    def _glance(self, source: Source, life: Life) -> Glance:
        known = self._glances.get(id(source))
        if known is None or known[0] is not life:
            known = (life, Glance(life.head, long_px=self._long_px))
            self._glances[id(source)] = known
        return known[1]
