"""One camera's recording of one strike, written while it still goes on.

Owns which packets belong to it, where its sound stands, and what is noted about it. Called by the
recorder, from one thread.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import numpy as np

from capturestation.capture.clock import ClockHeld
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
_SHORT_S = 0.5
# Less is not noticed: a swing begins and ends well inside.
_RATE_OFF = 0.05
# No clock is off by that; a camera that takes longer for each picture in the dark is.
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


class Stamp(NamedTuple):
    """What is remembered of a packet that is written: not its bytes, which take most of memory."""

    pts: int
    dts: int
    device_ns: int
    host_ns: int
    is_damaged: bool


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
        self._stamps: list[Stamp] = []
        self._recent: list[Packet] = []
        self._has_excerpt = False
        self._last_pts: int | None = None
        self._unit = Fraction(1)
        self.is_done = False
        self._life = life
        self._clock = ClockHeld(life.clock)
        self._sound = sound
        self._sound_clock = None if sound is None else ClockHeld(sound.life.clock)
        self._rate_hz = sound.life.got.sound_rate_hz if sound is not None else None
        self._follower = life.pictures.follow(strike.from_ns - _EARLY_NS)
        self._target: PacketFile | None = None

    @property
    def fit(self) -> ClockFit:
        """The camera's clock as known by now; as it was at the ball, if it was set since."""
        return self._clock.line()

    def open(self, folder: Path) -> None:
        """Begin the file.

        Raises:
            OutputError: If the folder refuses it.
        """
        first = self._taken()
        if not first:
            self.is_done = True
            return
        self._unit = first[0].time_base
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
            is_late = fit.host_ns(packet.due_ns) > self.strike.until_ns
            # Where pictures come out of order, those shown before the last one come after it.
            if is_late and (self._last_pts is None or packet.pts > self._last_pts):
                self.is_done = True
                return fresh[:number]
            self._last_pts = max(self._last_pts or packet.pts, packet.pts)
        return fresh

    def _write(self, packets: Sequence[Packet]) -> None:
        assert self._target is not None
        for packet in packets:
            if self._target.write(packet):
                self._stamps.append(_stamp(packet))
                if not self._has_excerpt:
                    self._recent.append(packet)

    def flush(self) -> None:
        """Have what is written go to the disk.

        Raises:
            OutputError: If it is refused.
        """
        if self._target is not None:
            self._target.flush()

    def close(self) -> FrameIndex:
        """Add the sound and finish the file; gives which frames it shows.

        Raises:
            OutputError: If the disk is full.
        """
        target = self._target
        assert target is not None
        with target:
            sound = self._sound_on_file()
            if sound is not None:
                target.write_sound(*sound)
        self._target = None
        return target.index()

    def abandon(self) -> None:
        """Let go of a file that is not to be."""
        if self._target is not None:
            self._target.abandon()
            self._target = None

    @property
    def holds_impact(self) -> bool:
        """Whether it has pictures from before impact to after it."""
        if not self._stamps:
            return False
        first_ns, last_ns = (self.fit.host_ns(self._stamps[n].device_ns) for n in (0, -1))
        return first_ns <= self.strike.at_host_ns <= last_ns

    def write_excerpt(self, path: Path, from_ns: int) -> int:
        """Write what came since a host time to a file of its own, once; gives impact on its clock.

        Raises:
            OutputError: If it can't be written.
        """
        fit = self.fit
        begins = 0
        recent, self._recent = self._recent, []
        self._has_excerpt = True
        for number, packet in enumerate(recent):
            if fit.host_ns(packet.due_ns) > from_ns:
                break
            begins = number if packet.is_key else begins
        kept = recent[begins:]
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
        if self._sound is None or self._sound_clock is None:
            return None
        fit = self._sound_clock.line()
        cut = cut_sound(self._sound.life.sound, fit, self.strike.sound_span_ns)
        if cut is None:
            return None
        at_ns = cut.start_device_ns
        if not self._sound.own:
            at_ns = self.fit.device_ns(fit.host_ns(at_ns))
        return cut.samples, at_ns - self._first.device_ns

    @property
    def impact_media_ns(self) -> int:
        """Impact on the file's clock, by the host's clock alone."""
        return self.fit.device_ns(self.strike.at_host_ns) - self._first.device_ns

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
        media_ns = [stamp.device_ns - self._first.device_ns for stamp in self._stamps]
        away = [at - self.impact_media_ns for at in media_ns]
        # Where arrival is all that is known, a late frame looks like a missing one.
        missing = missing_in([stamp.dts for stamp in self._stamps]) if own_clock else 0
        missing += sum(stamp.is_damaged for stamp in self._stamps)
        return SourceNote(
            view=self.setting.view,
            clock=self._clock.fit(),
            own_clock=own_clock,
            time_base=self._unit,
            first_pts=self._first.pts,
            impact_media_ns=self.impact_media_ns,
            nearest_frame_ns=min(away, key=abs),
            missing=missing,
            stamps=f"{self.setting.view}{STAMPS}",
            said=(*self._life.got.said, *self._shortfalls(media_ns, missing)),
            microphone_m=None if self._sound is None else self._sound.life.microphone_m,
            loose=self._life.got.loose,
            lens=self.setting.lens,
            rotation_deg=self.setting.rotation_deg,
        )

    def _shortfalls(self, media_ns: Sequence[int], missing: int) -> list[str]:
        who = f"The {self.setting.view} recording"
        said = []
        if missing:
            said.append(f"{who} misses {missing} frames, or parts of them.")
        rate_hz, asked_hz = self._rate_told(media_ns)
        if asked_hz is not None and abs(rate_hz / asked_hz - 1) > _RATE_OFF:
            said.append(
                f"The {self.setting.view} camera should send {asked_hz:g} frames a second and "
                f"sends {rate_hz:.0f}."
            )
        late_s = (self.strike.windows.before_ns - self.impact_media_ns) / NS_PER_S
        if late_s > _SHORT_S:
            said.append(f"{who} begins {late_s:.1f} s later than asked.")
        short_s = (self.impact_media_ns + self.strike.windows.after_ns - max(media_ns)) / NS_PER_S
        if short_s > _SHORT_S:
            said.append(f"{who} ends {short_s:.1f} s sooner than asked.")
        return said

    def _rate_told(self, media_ns: Sequence[int]) -> tuple[float, float | None]:
        """Frames a second as they come, and as asked or claimed."""
        asked = self.setting.rate_hz or self._life.got.rate_hz
        gaps_ns = np.diff(np.sort(np.array(media_ns, np.int64)))
        usual_ns = float(np.median(gaps_ns)) if len(gaps_ns) else 0.0
        if asked is None or usual_ns <= 0:
            return 0.0, None
        return NS_PER_S / usual_ns, float(asked)

    @property
    def _first(self) -> Stamp:
        return self._stamps[0]

    def stamps(self) -> IntArray:
        """Source stamp and arrival of each packet, (n, 2), as they came."""
        both = [(stamp.pts, stamp.host_ns) for stamp in self._stamps]
        return np.array(both, np.int64).reshape(-1, 2)


def _stamp(packet: Packet) -> Stamp:
    return Stamp(
        pts=packet.pts,
        dts=packet.dts,
        device_ns=packet.device_ns,
        host_ns=packet.host_ns,
        is_damaged=packet.is_damaged,
    )
