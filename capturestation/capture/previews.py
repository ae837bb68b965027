"""Small live pictures for whoever sets up the cameras.

Owns a thread that looks at the newest packet that stands for itself, and at no other: what is
recorded is not touched, and where a picture is not taken in time the next one replaces it.
"""

from __future__ import annotations

import base64
import threading
from collections.abc import Callable, Sequence

from capturestation.capture.messages import Preview
from capturestation.capture.source import Life, Source
from capturestation.media.glance import Glance
from capturestation.records.capture import SourceState


class Previews:
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
        self._sources = sources
        self._long_px = long_px
        self._rate_hz = rate_hz
        self._tell = tell
        self._stop = threading.Event()
        self._glances: dict[int, tuple[Life, Glance]] = {}
        self._shown: dict[int, int] = {}
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="previews", daemon=True)

    def start(self) -> None:
        """Begin, if any are wanted."""
        if self._long_px:
            self._thread.start()

    def stop(self) -> None:
        """End."""
        self._stop.set()
        if self._thread.is_alive():
            self._thread.join(5.0)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = "the previews died"
            raise RuntimeError(msg) from self._failure

    def _run(self) -> None:
        try:
            while not self._stop.wait(1 / self._rate_hz):
                for source in self._sources:
                    self._show(source)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error

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
