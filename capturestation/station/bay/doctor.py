"""Trying out a station before a lesson: what is plugged in, and five seconds really recorded.

Owns a recording of its own in a folder that is gone afterwards: no library is opened and nobody's
swing is kept. Works with any camera that can be recorded, with replays, and with none at all.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from capturestation.capture.messages import (
    Doing,
    KeepNow,
    Kept,
    Lost,
    Ready,
    SourceDown,
    SourceUp,
)
from capturestation.folders import read_swing_facts
from capturestation.media.devices import Device
from capturestation.media.frames import FrameReader
from capturestation.records import NS_PER_S, FrameArray, Recording, View, Watch
from capturestation.records.capture import Got, Health, Windows
from capturestation.station.bay import advice
from capturestation.station.bay.advice import Advice
from capturestation.station.bay.check import Measured, light, sharpness
from capturestation.station.bay.choosing import plugged_in
from capturestation.station.bay.recording import Client
from capturestation.station.bay.setting import BaySetting, capture_setting
from capturestation.station.bay.standing import Level
from capturestation.station.capture_client import CaptureClient, Told

LASTS_S = 5.0
OPENS_S = 12.0
"""A stream may take eight seconds to open."""
_AFTER_NS = NS_PER_S // 5
_LOOKED_AT = 5
_KEEPS_S = 20.0
_BEGINS_S = 0.5
# So long after the first picture that what is kept is as long as was said.


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What one camera did.

    Args:
        view: Which.
        got: What it gives; None if it never came.
        recording: The file of five seconds; None without.
        rate_hz: Frames a second, counted.
        light: Mean grey of the picture, 0..255; None without one.
    """

    view: View
    got: Got | None = None
    recording: Recording | None = None
    rate_hz: float = 0.0
    light: float | None = None


@dataclass(slots=True, kw_only=True)
class Examined:
    """What was found.

    Args:
        cameras: Each camera that was tried.
        peak: Loudest sample, 0..1; None where nothing was heard.
        after_ms: How long after its last picture the recording was there; None without one.
        advice: What a coach should know, worst first.
    """

    cameras: dict[View, Tried] = field(default_factory=dict)
    peak: float | None = None
    after_ms: float | None = None
    advice: list[Advice] = field(default_factory=list)


def cameras_at_hand(setting: BaySetting, devices: tuple[Device, ...]) -> BaySetting:
    """The bay as it is set up; else what is plugged in, in the usual order of views."""
    if setting.has_cameras:
        return setting
    cameras = tuple(plugged_in(device, view) for device, view in zip(devices, View, strict=False))
    return replace(setting, cameras=cameras)


def examine(
    setting: BaySetting,
    watch: Watch,
    *,
    lasts_s: float = LASTS_S,
    make: Callable[..., Client] = CaptureClient,
) -> Examined:
    """Record for some seconds and look at what came.

    Args:
        setting: The bay; with one camera at least.
        watch: Told how far it is, and may stop it.
        lasts_s: How long.
        make: Begins a recording.

    Raises:
        OutputError: If no recording can be begun.
        CancelledError: If it is stopped; nothing is left.
    """
    before_ns = round(lasts_s * NS_PER_S)
    windows = Windows(before_ns=before_ns, after_ns=_AFTER_NS, keeps_talk=True)
    with tempfile.TemporaryDirectory(prefix="capturestation-doctor-") as folder:
        wanted = replace(setting, windows=windows)
        capture = replace(capture_setting(wanted, Path(folder)), preview_px=0)
        found = Examined(cameras={s.view: Tried(view=s.view) for s in capture.sources})
        client = make(capture)
        try:
            _record(client, found, lasts_s, watch)
        finally:
            client.stop()
        for fact in client.facts():
            _note(fact, found)
    found.advice.sort(key=lambda one: list(Level)[::-1].index(one.level))
    return found


def _record(client: Client, found: Examined, lasts_s: float, watch: Watch) -> None:
    """Until all are there or don't come; then for so long; then keep that."""
    for _ in _until(client, found, OPENS_S, watch, (0.0, 0.3)):
        if all(camera.got is not None for camera in found.cameras.values()):
            break
    if not any(camera.got is not None for camera in found.cameras.values()):
        return
    told = [
        fact.health
        for fact in _until(client, found, lasts_s + _BEGINS_S, watch, (0.3, 0.8))
        if isinstance(fact, Doing)
    ]
    client.say(Ready(ticket="doctor"))
    client.say(KeepNow(back_ns=_AFTER_NS))
    for fact in _until(client, found, _KEEPS_S, watch, (0.8, 1.0)):
        if isinstance(fact, Kept | Lost):
            break
    _judge(found, told)


def _until(
    client: Client, found: Examined, for_s: float, watch: Watch, share: tuple[float, float]
) -> Iterator[Told]:
    """What is told for so long, noted."""
    begun_s = time.monotonic()
    while (spent_s := time.monotonic() - begun_s) < for_s:
        done = share[0] + (share[1] - share[0]) * spent_s / for_s
        watch.report(done, "recording to try it out")
        facts = client.facts()
        for fact in facts:
            _note(fact, found)
            yield fact
        if not facts:
            time.sleep(0.05)


def _note(fact: Told, found: Examined) -> None:
    match fact:
        case SourceUp():
            found.cameras[fact.view] = replace(found.cameras[fact.view], got=fact.got)
        case SourceDown():
            found.advice.append(
                Advice(about=str(fact.view), level=Level.BAD, what=fact.why, try_next=fact.try_next)
            )
        case Lost():
            found.advice.append(
                Advice(about="disk", level=Level.BAD, what=fact.why, try_next=fact.try_next)
            )
        case Kept():
            found.after_ms = fact.after_ms
            _look_into(Path(fact.folder), found)
        case _:
            pass


def _look_into(folder: Path, found: Examined) -> None:
    """Read the recording back, as a lesson's would be."""
    for recording in read_swing_facts(folder).recordings:
        with FrameReader(folder / recording.file) as reader:
            numbers = np.linspace(0, len(reader) - 1, _LOOKED_AT).astype(int)
            greys = [_grey(reader.frame_rgb(int(number))) for number in numbers]
        measured = Measured(
            sharpness=float(np.median([sharpness(grey) for grey in greys])),
            light=float(np.median([light(grey) for grey in greys])),
        )
        known = found.cameras[recording.view]
        found.cameras[recording.view] = replace(known, recording=recording, light=measured.light)
        found.advice += advice.of_picture(recording.view, measured)


def _grey(frame_rgb: FrameArray) -> FrameArray:
    grey: FrameArray = (frame_rgb @ np.array([0.299, 0.587, 0.114])).astype(np.uint8)
    return grey


def _judge(found: Examined, told: Sequence[Health]) -> None:
    for view, camera in found.cameras.items():
        if camera.got is not None:
            found.advice += advice.of_got(view, camera.got)
    if told:
        found.advice += advice.of_health(told[-1])
        for source in told[-1].sources:
            known = found.cameras[source.view]
            found.cameras[source.view] = replace(known, rate_hz=source.rate_hz)
    heard = [one.sound for one in told if one.sound is not None and one.sound.peak > 0]
    if heard:
        found.peak = max(sound.peak for sound in heard)
        room_db = min(sound.rms_db for sound in heard)
        found.advice += advice.of_strikes_sound(found.peak, room_db)
