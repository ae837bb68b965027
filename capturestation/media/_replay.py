"""Files played as a camera would send them: at their own pace, late, lossy, drifting, unplugged.

Owns the waiting and the faults; what a seed decides comes out the same each time.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from types import TracebackType
from typing import Self

from capturestation.media import _reach
from capturestation.media._films import Due, Line
from capturestation.media.packets import Packet, SoundBlock
from capturestation.records import NS_PER_S
from capturestation.records.capture import Replay, SourceSetting

Clock = Callable[[], int]
Wait = Callable[[float], bool]
_NS_PER_MS = 1_000_000


class ReplayLive:
    """Files as a live source.

    Args:
        setting: Names the files and the faults.
        clock: The host's clock.
        wait: Waits so many seconds, or until somebody wants an end, which it answers.

    Raises:
        NotReadableError: If a file is no usable video, or the camera is unplugged at this time.
        BadInputError: If the files do not go together.
    """

    def __init__(self, setting: SourceSetting, *, clock: Clock, wait: Wait) -> None:
        assert setting.replay is not None
        self._setting = setting
        self._replay: Replay = setting.replay
        self._clock = clock
        self._wait = wait
        self._line = Line(self._replay.pieces)
        began = self._replay.begins_host_ns
        self._began_ns = clock() if began is None else began
        if self._gone(self._now_s()):
            raise _reach.broken(setting, None, opening=True)
        sound_rate_hz = self._line.sound_rate_hz if setting.has_sound else None
        got = self._line.got
        said = _reach.differences(setting, got.width_px, got.height_px, got.codec)
        self.got = replace(got, sound_rate_hz=sound_rate_hz, said=said)
        self.head = self._line.first.head

    def _now_s(self) -> float:
        return (self._clock() - self._began_ns) / NS_PER_S

    def _gone(self, at_s: float) -> bool:
        over = self._replay.ends_after_s
        if over is not None and at_s >= over:
            return True
        return any(spell.holds(at_s) for spell in self._replay.unplugged)

    def __iter__(self) -> Iterator[Packet | SoundBlock]:
        rate = 1 + self._replay.drift_ppm / 1e6
        from_ns = max(round((self._clock() - self._began_ns) * rate), 0)
        last_ns, seen_key = 0, False
        for due in self._line.begin(from_ns=from_ns, has_sound=self._setting.has_sound):
            host_ns = self._began_ns + round(due.at_ns / rate)
            if self._gone((host_ns - self._began_ns) / NS_PER_S):
                raise _reach.broken(self._setting, None, opening=False)
            dice = random.Random(f"{self._replay.seed} {due.number} {due.block is None}")
            if due.packet is not None:
                seen_key = seen_key or due.packet.is_key
                if not seen_key or dice.random() < self._replay.loss:
                    continue
            last_ns = max(last_ns, self._late(host_ns, dice))
            if self._ended_before(last_ns):
                return
            yield self._arrived(due)

    def _late(self, host_ns: int, dice: random.Random) -> int:
        """When it comes, that was sent at a time."""
        late_ms = self._replay.delay_ms
        if self._replay.jitter_ms > 0:
            late_ms += dice.expovariate(1 / self._replay.jitter_ms)
        comes_ns = host_ns + round(late_ms * _NS_PER_MS)
        at_s = (comes_ns - self._began_ns) / NS_PER_S
        for stall in self._replay.stalls:
            if stall.holds(at_s):
                comes_ns = self._began_ns + round((stall.at_s + stall.for_s) * NS_PER_S)
        return comes_ns

    def _ended_before(self, comes_ns: int) -> bool:
        while (wait_ns := comes_ns - self._clock()) > 0:
            if self._wait(wait_ns / NS_PER_S):
                return True
        return False

    def _arrived(self, due: Due) -> Packet | SoundBlock:
        host_ns = self._clock()
        if due.packet is not None:
            return replace(due.packet, host_ns=host_ns)
        assert due.block is not None
        return replace(due.block, host_ns=host_ns)

    def close(self) -> None:
        """Let go of it."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
