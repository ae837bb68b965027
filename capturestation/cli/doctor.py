"""Try the station out: devices, five seconds recorded, plain advice."""

from __future__ import annotations

from typing import Unpack

import click

from capturestation.cli.parameters import Number
from capturestation.cli.recorded_from import SourceOptions, bay_of, source_options
from capturestation.cli.show import json_option, show, watching
from capturestation.media.modes import Modes, modes_of
from capturestation.records import Plain, to_plain
from capturestation.station.bay.choosing import Found, find_devices
from capturestation.station.bay.doctor import LASTS_S, Examined, Tried, cameras_at_hand, examine

UNPROVEN = (
    "Written without a camera or microphone at hand: what is said here of yours is the first proof."
)


@click.command()
@click.option("--seconds", type=Number(2, 30), default=LASTS_S, show_default=True, help="So long.")
@source_options
@json_option
def doctor(seconds: float, as_json: bool, **asked: Unpack[SourceOptions]) -> None:
    """Try the cameras and the microphone: list them, record five seconds, say what to change.

    Clap once where the ball lies while it records. Nothing that is recorded stays.
    """
    found = find_devices()
    modes = tuple(modes_of(device.address) for device in found.cameras)
    bay = cameras_at_hand(bay_of(asked), found.cameras)
    examined = None
    if bay.has_cameras:
        with watching() as watch:
            examined = examine(bay, watch, lasts_s=seconds)
    value: dict[str, Plain] = {
        "cameras": [to_plain(device) for device in found.cameras],
        "modes": [to_plain(mode) for mode in modes],
        "microphones": list(found.microphones),
        "tried": None if examined is None else _plain(examined),
    }
    lines = _devices(found, modes)
    lines += _nothing() if examined is None else _examined(examined, seconds)
    show(value, as_json=as_json, text="\n".join(lines))


def _devices(found: Found, modes: tuple[Modes, ...]) -> list[str]:
    lines = [f"Cameras that the system knows: {len(found.cameras) or 'none'}."]
    for device, mode in zip(found.cameras, modes, strict=True):
        lines.append(f"  {device.name} ({device.address})")
        lines += [f"    {one}" for one in mode.modes]
        lines += [f"    {sentence}" for sentence in mode.said]
    lines.append(f"Microphones that the system knows: {len(found.microphones) or 'none'}.")
    lines += [f"  {name}" for name in found.microphones]
    return lines


def _nothing() -> list[str]:
    return [
        "",
        "No camera is set up or plugged in, so nothing was recorded.",
        "Plug one in, or name a network camera: --camera face-on=rtsp://...; or try the invented "
        "bay: --demo.",
    ]


def _examined(examined: Examined, seconds: float) -> list[str]:
    lines = ["", f"Recorded for {seconds:g} seconds:"]
    lines += [f"  {_tried(camera)}" for camera in examined.cameras.values()]
    if examined.peak is not None:
        lines.append(f"  sound: the loudest reached {100 * examined.peak:.0f} %")
    if examined.after_ms is not None:
        lines.append(f"  on the disk {examined.after_ms / 1000:.1f} s after the last picture")
    lines.append("")
    if examined.advice:
        lines += [f"{one.level}: {one}" for one in examined.advice]
    else:
        lines.append("All is well.")
    return [*lines, UNPROVEN]


def _tried(camera: Tried) -> str:
    recording, got = camera.recording, camera.got
    if got is None:
        return f"{camera.view}: nothing came"
    told = f"{camera.view}: {got.width_px}x{got.height_px} {got.codec}, "
    told += f"{camera.rate_hz:.0f} frames a second"
    if recording is None:
        return f"{told}; nothing was kept of it"
    told += f"; {recording.frames} frames kept, {recording.size_bytes / 1e6:.1f} MB"
    return told if camera.light is None else f"{told}, light {camera.light:.0f} of 255"


def _plain(examined: Examined) -> dict[str, Plain]:
    return {
        "cameras": [to_plain(camera) for camera in examined.cameras.values()],
        "loudest": examined.peak,
        "on_disk_after_ms": examined.after_ms,
        "advice": [to_plain(one) for one in examined.advice],
    }
