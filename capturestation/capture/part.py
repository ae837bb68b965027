"""One camera's recording of one strike, written while it still goes on.

Owns which packets belong to it, where its sound stands, and what is noted about it. Called by the
recorder, from one thread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from capturestation.capture.missing import missing_in
from capturestation.capture.sound_cut import cut_sound
from capturestation.capture.source import Life
from capturestation.capture.strike import Strike
from capturestation.folders import Hashed
from capturestation.media.index import FrameIndex
from capturestation.media.packets import Packet
from capturestation.media.remux import PacketFile
from capturestation.records import NS_PER_S, IntArray, Recording, SoundArray
from capturestation.records.capture import ClockFit, SourceNote, SourceSetting

STAMPS = ".stamps.npy"
_EARLY_NS = 100_000_000
# Where pictures come out of order, one is shown some frames after it came.
_LATE_NS = 1_500_000_000
# A network that holds packets for longer has lost them.


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Heard:
    """Whose sound goes into the file, and how its clock is read.

    Args:
        life: The connection that it comes from.
        own: Whether it is this camera's own.
    """

    life: Life
    own: bool


class Part:
    """What one camera has of a strike.

    Args:
        setting: The camera.
        life: Its connection at impact.
        strike: The ball.
        sound: Whose sound it gets; None for none.
    """

    def __init__(
        self, setting: SourceSetting, life: Life, strike: Strike, sound: Heard | None
    ) -> None:
        self.setting = setting
        self.strike = strike
        self.file = f"{setting.view}.mp4"
        self.packets: list[Packet] = []
        self.is_done = False
        self._life = life
        self._sound = sound
        self._rate_hz = sound.life.got.sound_rate_hz if sound is not None else None
        self._follower = life.pictures.follow(strike.from_ns - _EARLY_NS)
        self._target: PacketFile | None = None

    @property
    def fit(self) -> ClockFit:
        """The camera's clock as known by now."""
        return self._life.clock.line()

    def open(self, folder: Path) -> None:
        """Begin the file.

        Raises:
            OutputError: If the folder refuses it.
        """
        first = self._taken()
        if not first:
            self.is_done = True
            return
        self._target = PacketFile(
            folder / self.file,
            head=self._life.head,
            time_base=first[0].time_base,
            rotation_deg=self.setting.rotation_deg,
            sound_rate_hz=self._rate_hz,
        )
        self._write(first)

    def go_on(self, now_ns: int) -> None:
        """Write what came since; done once a picture came that is after the last one wanted.

        Raises:
            OutputError: If the disk is full.
        """
        if self.is_done:
            return
        # Asked first: what came until then is taken with the rest.
        is_over = self._life.over.is_set() or now_ns > self.strike.until_ns + _LATE_NS
        self._write(self._taken())
        if is_over:
            self.is_done = True

    def _taken(self) -> list[Packet]:
        """What is wanted of what came since, from one that stands for itself."""
        fresh = self._follower.fresh()
        fit = self.fit
        for number, packet in enumerate(fresh):
            if fit.host_ns(packet.due_ns) > self.strike.until_ns:
                self.is_done = True
                return fresh[:number]
        return fresh

    def _write(self, packets: Sequence[Packet]) -> None:
        assert self._target is not None
        self.packets += [packet for packet in packets if self._target.write(packet)]

    def flush(self) -> None:
        """Have what is written go to the disk.

        Raises:
            OutputError: If it is refused.
        """
        if self._target is not None:
            self._target.flush()

    def close(self) -> None:
        """Add the sound and finish the file.

        Raises:
            OutputError: If the disk is full.
        """
        target = self._target
        if target is None:
            return
        with target:
            sound = self._sound_on_file()
            if sound is not None:
                target.write_sound(*sound)
        self._target = None

    def abandon(self) -> None:
        """Let go of a file that is not to be."""
        if self._target is not None:
            self._target.abandon()
            self._target = None

    @property
    def holds_impact(self) -> bool:
        """Whether it has pictures from before impact to after it."""
        if not self.packets:
            return False
        edges = (self.fit.host_ns(self.packets[n].device_ns) for n in (0, -1))
        first_ns, last_ns = edges
        return first_ns <= self.strike.at_host_ns <= last_ns

    def write_excerpt(self, path: Path, from_ns: int) -> int:
        """Write what came since a host time to a file of its own; gives impact on its clock.

        Raises:
            OutputError: If it can't be written.
        """
        fit = self.fit
        begins = 0
        for number, packet in enumerate(self.packets):
            if fit.host_ns(packet.due_ns) > from_ns:
                break
            begins = number if packet.is_key else begins
        kept = self.packets[begins:]
        with PacketFile(
            path,
            head=self._life.head,
            time_base=kept[0].time_base,
            rotation_deg=self.setting.rotation_deg,
        ) as target:
            for packet in kept:
                target.write(packet)
        return fit.device_ns(self.strike.at_host_ns) - kept[0].device_ns

    def _sound_on_file(self) -> tuple[SoundArray, int] | None:
        if self._sound is None:
            return None
        fit = self._sound.life.clock.line()
        cut = cut_sound(self._sound.life.sound, fit, self.strike.sound_span_ns)
        if cut is None:
            return None
        at_ns = cut.start_device_ns
        if not self._sound.own:
            at_ns = self.fit.device_ns(fit.host_ns(at_ns))
        return cut.samples, at_ns - self.packets[0].device_ns

    @property
    def impact_media_ns(self) -> int:
        """Impact on the file's clock, by the host's clock alone."""
        return self.fit.device_ns(self.strike.at_host_ns) - self.packets[0].device_ns

    def recording(self, index: FrameIndex, hashed: Hashed) -> Recording:
        """The facts that `swing.json` keeps."""
        got = self._life.got
        sideways = self.setting.rotation_deg % 180 == 90
        size = (got.height_px, got.width_px) if sideways else (got.width_px, got.height_px)
        return Recording(
            view=self.setting.view,
            file=self.file,
            sha256=hashed.sha256,
            size_bytes=hashed.size_bytes,
            width_px=size[0],
            height_px=size[1],
            frames=len(index),
            rate_hz=index.mean_rate_hz,
            time_base=index.time_base,
            first_pts=int(index.pts[0]),
            duration_ns=index.duration_ns,
            has_sound=self._rate_hz is not None,
            camera=self.setting.camera,
        )

    def note(self) -> SourceNote:
        """What is noted beside it."""
        own_clock = self._life.got.own_clock
        media_ns = [p.device_ns - self.packets[0].device_ns for p in self.packets]
        away = [at - self.impact_media_ns for at in media_ns]
        missing = missing_in(self.packets) if own_clock else 0
        return SourceNote(
            view=self.setting.view,
            clock=self._life.clock.fit(),
            own_clock=own_clock,
            time_base=self.packets[0].time_base,
            first_pts=self.packets[0].pts,
            impact_media_ns=self.impact_media_ns,
            nearest_frame_ns=min(away, key=abs),
            missing=missing,
            stamps=f"{self.setting.view}{STAMPS}",
            said=(*self._life.got.said, *self._shortfalls(media_ns, missing)),
        )

    def _shortfalls(self, media_ns: Sequence[int], missing: int) -> list[str]:
        who = f"The {self.setting.view} recording"
        said = []
        if missing:
            said.append(f"{who} misses {missing} of {len(self.packets) + missing} frames.")
        late_s = (self.impact_media_ns - self.strike.windows.before_ns) / -NS_PER_S
        if late_s > 0.5:
            said.append(f"{who} begins {late_s:.1f} s later than asked.")
        short_ns = self.impact_media_ns + self.strike.windows.after_ns - max(media_ns)
        if short_ns > NS_PER_S // 2:
            said.append(f"{who} ends {short_ns / NS_PER_S:.1f} s sooner than asked.")
        return said

    def stamps(self) -> IntArray:
        """Source stamp and arrival of each packet, (n, 2), as they came."""
        return np.array([(p.pts, p.host_ns) for p in self.packets], np.int64).reshape(-1, 2)
