"""The thread that decides on candidates: wait for the pictures, look, keep or let go.

Owns the rules of what is kept. Nothing is looked at but a quarter of a second either side of what
was heard.
"""

from __future__ import annotations

import queue
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from capturestation.capture.ear import Sounded
from capturestation.capture.eye import LONG_PX, LOOK_NS, Confirmer, worth_looking
from capturestation.capture.messages import Fact, Ignored
from capturestation.capture.source import Life, Source
from capturestation.media.glance import Glance
from capturestation.records.capture import Candidate, Confirmed, Look, SourceState, Verdict

AGAIN_NS = 400_000_000
"""No person strikes two balls within that; a net's thud and an echo come within it."""
_SLACK_NS = 120_000_000
# Pictures come later than sound: a network camera's by some 100 ms.
_REST_S = 2.0
# So often the eye learns where balls lie, while nothing is heard.
_MOST_WAITING = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What is kept.

    Args:
        keeps_unclear: Whether a ball is kept where the picture can't tell.
    """

    keeps_unclear: bool = True

    def keeps(self, confirmed: Confirmed) -> bool:
        """Whether a ball of that verdict is kept."""
        if confirmed.verdict is Verdict.UNCLEAR:
            return self.keeps_unclear
        return confirmed.verdict is Verdict.LEFT


class Witness:
    """Decides on candidates, one after the other.

    Args:
        sources: The cameras.
        confirmer: Looks.
        keep: Is called with what is to be kept and whose it is, from this thread.
        tell: Is told what is let go, and why.
    """

    def __init__(
        self,
        sources: Sequence[Source],
        confirmer: Confirmer,
        keep: Callable[[Candidate, Confirmed, str], None],
        tell: Callable[[Fact], None],
    ) -> None:
        self.rules = Rules()
        self._sources = sources
        self._confirmer = confirmer
        self._keep = keep
        self._tell = tell
        self._glances: dict[int, tuple[Life, Glance]] = {}
        self._last_ns: int | None = None
        self._waiting: queue.SimpleQueue[tuple[Sounded, str] | None] = queue.SimpleQueue()
        self._failure: BaseException | None = None
        self._thread = threading.Thread(target=self._run, name="witness", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def take(self, sounded: Sounded, ticket: str) -> None:
        """Something was heard, while it was this one's turn; returns at once."""
        if self._waiting.qsize() < _MOST_WAITING:
            self._waiting.put((sounded, ticket))

    def kept_by_key(self, at_host_ns: int) -> None:
        """A ball is kept already that a sound may still be looked at for."""
        self._last_ns = at_host_ns

    def stop(self) -> None:
        """End, once all that was heard is decided."""
        self._waiting.put(None)
        self._thread.join(30.0)
        self.check()

    def check(self) -> None:
        """Raise what the thread died of, if it did.

        Raises:
            RuntimeError: If it died of a mistake of ours.
        """
        if self._failure is not None:
            msg = "the witness died"
            raise RuntimeError(msg) from self._failure

    def _run(self) -> None:
        try:
            while True:
                try:
                    waiting = self._waiting.get(timeout=_REST_S)
                except queue.Empty:
                    self._confirmer.at_rest(self._now())
                    continue
                if waiting is None:
                    return
                self._decide(*waiting)
        except BaseException as error:  # noqa: BLE001 - kept, and raised by whoever asks
            self._failure = error

    def _decide(self, sounded: Sounded, ticket: str) -> None:
        if self._is_the_same(sounded.by_host().at_host_ns):
            return
        until_ns = sounded.by_host().at_host_ns + LOOK_NS + _SLACK_NS
        late_ns = until_ns - time.perf_counter_ns()
        if late_ns > 0:
            time.sleep(late_ns / 1e9)
        # Sound and pictures by what is known of their clocks at the same time: soon after a camera
        # came up, that changes.
        candidate = sounded.by_host()
        at_ns = candidate.at_host_ns
        confirmed = self._confirmer.confirm(candidate, self.looks_at(at_ns))
        if not self.rules.keeps(confirmed):
            self._tell(Ignored(at_host_ns=at_ns, why=confirmed.said))
            return
        # Looking takes a while: a clock that was set meanwhile is the one it is kept by.
        candidate = sounded.by_host()
        self._last_ns = candidate.at_host_ns
        self._keep(candidate, confirmed, ticket)

    def _is_the_same(self, at_ns: int) -> bool:
        """Whether it can be no other ball than the one kept last; that is said."""
        last_ns = self._last_ns
        if last_ns is None or abs(at_ns - last_ns) >= AGAIN_NS:
            return False
        why = f"It came {(at_ns - last_ns) / 1e9:.2f} s after a ball that is kept."
        self._tell(Ignored(at_host_ns=at_ns, why=why))
        return True

    def _now(self) -> list[Look]:
        """The newest picture of each camera."""
        looks = []
        for source in self._sources:
            life = source.life
            newest = None if life is None else life.pictures.newest_key()
            if life is None or newest is None or source.state is not SourceState.UP:
                continue
            for _, grey in self._glance(source, life).greys([newest]):
                at = np.array([newest.host_ns], np.int64)
                looks.append(Look(view=source.setting.view, host_ns=at, greys=grey[np.newaxis]))
        return looks

    def looks_at(self, at_ns: int) -> list[Look]:
        """What each camera saw round a time."""
        looks = []
        for source in self._sources:
            life = source.life_at(at_ns)
            look = None if life is None else self._look(source, life, at_ns)
            if look is not None:
                looks.append(look)
        return looks

    def _look(self, source: Source, life: Life, at_ns: int) -> Look | None:
        fit = life.clock.line()
        packets = [
            packet
            for packet in life.pictures.since(at_ns - LOOK_NS)
            if fit.host_ns(packet.due_ns) <= at_ns + LOOK_NS
        ]
        times = {packet.pts: fit.host_ns(packet.device_ns) for packet in packets}
        if all(packet.is_key for packet in packets):
            came_ns = np.array([times[packet.pts] for packet in packets], np.int64)
            packets = [packets[n] for n in worth_looking(came_ns, at_ns)]
        seen = self._glance(source, life).greys(packets)
        near = [
            (times[pts], grey)
            for pts, grey in seen
            if pts in times and abs(times[pts] - at_ns) <= LOOK_NS
        ]
        if not near:
            return None
        return Look(
            view=source.setting.view,
            host_ns=np.array([at for at, _ in near], np.int64),
            greys=np.stack([grey for _, grey in near]),
        )

    def _glance(self, source: Source, life: Life) -> Glance:
        known = self._glances.get(id(source))
        if known is None or known[0] is not life:
            turn = source.setting.rotation_deg
            known = (life, Glance(life.head, long_px=LONG_PX, rotation_deg=turn))
            self._glances[id(source)] = known
        return known[1]
