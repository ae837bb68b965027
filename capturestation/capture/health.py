"""How the station is doing, in numbers that are counted and not claimed."""

from __future__ import annotations

import math
import mmap
import shutil
import time
from collections.abc import Sequence
from pathlib import Path

from capturestation.capture.ear import Ear
from capturestation.capture.hearing import Hearing
from capturestation.capture.source import Life, Source
from capturestation.records import NS_PER_S
from capturestation.records.capture import (
    Health,
    SoundHealth,
    SourceHealth,
    SourceState,
)

_OVER_NS = 2 * NS_PER_S
_CLIPPED = 0.985
_SILENT_DB = -110.0
# Any microphone's own noise is louder; below it nothing is connected, or it is muted.
_LOWEST_DB = -150.0
_PAGE_BYTES = mmap.PAGESIZE


class HealthBook:
    """Measures the station.

    Args:
        folder: On the disk whose room counts.
        sources: The cameras.
        ear: Knows how loud it is.
        hearing: Knows whether there is sound.
        needs_ns: How much of the past a ball needs.
    """

    def __init__(
        self, folder: Path, sources: Sequence[Source], ear: Ear, hearing: Hearing, needs_ns: int
    ) -> None:
        self._folder = folder
        self._sources = sources
        self._ear = ear
        self._hearing = hearing
        self._needs_ns = needs_ns
        self._sound: SoundHealth | None = None

    def measure(self, usual_mb: float | None) -> Health:
        """The health now.

        Args:
            usual_mb: Size of a kept ball; None before the first.
        """
        free_mb = int(shutil.disk_usage(self._folder).free / 1e6)
        return Health(
            at_host_ns=time.perf_counter_ns(),
            sources=tuple(self._source(source) for source in self._sources),
            phase_ns=self._phase_ns(),
            sound=self._sound,
            disk_free_mb=free_mb,
            balls_left=None if not usual_mb else int(free_mb / usual_mb),
            memory_mb=_memory_mb(),
        )

    def listen(self) -> None:
        """Take the level of the last second; once a second, from one thread."""
        count, peak, power = self._ear.level()
        level_db = max(10 * math.log10(power), _LOWEST_DB) if power > 0 else _LOWEST_DB
        hears = self._hearing.life is not None and count > 0
        self._sound = SoundHealth(
            state=SourceState.UP if hears else SourceState.DOWN,
            peak=peak,
            rms_db=level_db,
            clipped=peak >= _CLIPPED,
            silent=level_db < _SILENT_DB,
        )

    def _source(self, source: Source) -> SourceHealth:
        life = source.life
        asked = source.setting.rate_hz
        if life is None:
            return SourceHealth(
                view=source.setting.view,
                state=source.state,
                rate_hz=0.0,
                asked_hz=None if asked is None else float(asked),
                missing=0,
                late_p95_ms=0.0,
                drift_ppm=0.0,
                ring_s=0.0,
                ring_mb=0.0,
                ring_full=False,
            )
        fit = life.clock.fit()
        asked = asked or life.got.rate_hz
        return SourceHealth(
            view=source.setting.view,
            state=source.state,
            rate_hz=_rate_hz(life),
            asked_hz=None if asked is None else float(asked),
            missing=life.missing.count,
            late_p95_ms=fit.late_p95_ns / 1e6,
            drift_ppm=fit.drift_ppm,
            ring_s=life.pictures.span_ns / NS_PER_S,
            ring_mb=life.pictures.size_bytes / 1e6,
            ring_full=life.pictures.short and life.pictures.span_ns < self._needs_ns,
        )

    def _phase_ns(self) -> int | None:
        """How much later the second camera's frames come, less than half a frame either way."""
        up = [s.life for s in self._sources if s.state is SourceState.UP and s.life is not None]
        if len(up) < 2:
            return None
        newest = [life.pictures.newest_key() for life in up[:2]]
        rate_hz = _rate_hz(up[0])
        if newest[0] is None or newest[1] is None or rate_hz <= 0:
            return None
        first, second = (
            life.clock.line().host_ns(packet.device_ns)
            for life, packet in zip(up[:2], newest, strict=True)
            if packet is not None
        )
        frame_ns = round(NS_PER_S / rate_hz)
        return (second - first + frame_ns // 2) % frame_ns - frame_ns // 2


def _rate_hz(life: Life) -> float:
    """Frames a second over the last two seconds, by intervals."""
    now_ns = time.perf_counter_ns()
    came = [p.host_ns for p in life.pictures.since(now_ns - _OVER_NS)]
    came = [at for at in came if at > now_ns - _OVER_NS]
    if len(came) < 2 or came[-1] == came[0]:
        return 0.0
    return (len(came) - 1) * NS_PER_S / (came[-1] - came[0])


def _memory_mb() -> float:
    """What this process holds in memory; 0 where the system does not say."""
    told = Path("/proc/self/statm")
    if not told.exists():
        return 0.0
    pages = int(told.read_text(encoding="ascii").split()[1])
    return pages * _PAGE_BYTES / 1e6
