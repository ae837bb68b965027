"""The cameras and microphones that the system knows, by the names that open them.

Owns asking the libraries; what they can't tell is an empty answer with a reason, as a device can be
named by hand all the same. Called when cameras are chosen, never while recording.
"""

from __future__ import annotations

import importlib
import sys
from dataclasses import dataclass

import av

from capturestation.media._mapping import FOREIGN
from capturestation.media._reach import device_format

_VIDEO, _AUDIO = "video", "audio"


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """One device.

    Args:
        address: What opens it.
        name: What the system calls it.
    """

    address: str
    name: str


def camera_devices() -> tuple[Device, ...]:
    """The cameras that are plugged in; none where the system doesn't say."""
    try:
        found = av.enumerate_input_devices(device_format())
    except (*FOREIGN, ValueError, RuntimeError):
        return ()
    devices = []
    for one in found:
        if _VIDEO in (one.media_types or [_VIDEO]):
            # One of the three systems opens a camera by its name, not by its long address.
            by_name = sys.platform == "win32"
            address = one.description if by_name else one.name
            devices.append(Device(address=address, name=one.description or one.name))
    return tuple(devices)


def microphone_names() -> tuple[str, ...]:
    """The microphones that are plugged in; none without a driver."""
    try:
        driver = importlib.import_module("sounddevice")
        found = driver.query_devices()
    except (ImportError, OSError, RuntimeError, ValueError):
        return ()
    return tuple(dict.fromkeys(one["name"] for one in found if one["max_input_channels"] > 0))
