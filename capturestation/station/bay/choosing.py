"""Choosing the bay's cameras: what is plugged in, and what a hand wrote.

Owns which view is proposed next and what can be refused before a camera is opened.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlsplit

from capturestation.errors import BadInputError
from capturestation.media.devices import Device, camera_devices, microphone_names
from capturestation.records import View
from capturestation.records.capture import SourceKind, SourceSetting
from capturestation.station.bay.setting import BaySetting

SCHEMES = ("rtsp", "rtsps", "http", "https", "tcp", "udp", "srt")
_MJPEG = "mjpeg"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What this computer knows of.

    Args:
        cameras: Those that are plugged in.
        microphones: Names.
    """

    cameras: tuple[Device, ...]
    microphones: tuple[str, ...]


def find_devices() -> Found:
    """Ask the system; takes up to a second."""
    return Found(cameras=camera_devices(), microphones=microphone_names())


def next_view(setting: BaySetting) -> View:
    """The view that a further camera most likely has."""
    taken = {camera.view for camera in setting.cameras}
    return next((view for view in View if view not in taken), View.EXTRA)


def plugged_in(device: Device, view: View) -> SourceSetting:
    """A camera that is plugged in, with what it gives by itself."""
    return SourceSetting(
        view=view, kind=SourceKind.DEVICE, address=device.address, camera=device.name
    )


def by_address(text: str, view: View, name: str = "") -> SourceSetting:
    """A camera that sends over the network.

    Args:
        text: Its address, as the camera's own page or its app says it.
        view: Where it stands.
        name: What it is called; the address's host unless given.

    Raises:
        BadInputError: If that can't be an address.
    """
    address = text.strip()
    try:
        parts = urlsplit(address)
        host = parts.hostname or ""
    except ValueError:
        parts, host = None, ""
    if parts is None or parts.scheme not in SCHEMES or not host:
        raise BadInputError(
            "That is no address of a camera.",
            try_next=f"It begins with {SCHEMES[0]}:// or {SCHEMES[2]}://, then the camera's "
            "number or name in the network.",
        )
    is_mjpeg = parts.scheme.startswith("http") or parts.scheme == "tcp"
    return SourceSetting(
        view=view,
        kind=SourceKind.STREAM,
        address=address,
        camera=name.strip() or host,
        form=_MJPEG if is_mjpeg else "",
    )


def placed(setting: BaySetting, camera: SourceSetting, view: View) -> BaySetting:
    """Give a camera another view; whichever camera had that view takes the one that gets free."""
    swapped = []
    for one in setting.cameras:
        if one.view is camera.view:
            swapped.append(replace(one, view=view))
        elif one.view is view:
            swapped.append(replace(one, view=camera.view))
        else:
            swapped.append(one)
    return replace(setting, cameras=tuple(swapped))
