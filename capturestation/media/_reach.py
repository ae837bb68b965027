"""How each kind of live source is opened, and what its failures mean to a person.

Owns the libraries' option names. An address may hold a password: it is never said.
"""

from __future__ import annotations

import sys
from urllib.parse import urlsplit

from capturestation.errors import BadInputError, NotReadableError
from capturestation.records.capture import SourceKind, SourceSetting

OPEN_S = 8.0
QUIET_S = 2.0
"""Without a packet for so long a source counts as gone."""

_DEVICES = {"linux": "v4l2", "win32": "dshow", "darwin": "avfoundation"}
_SCHEMES = ("rtsp", "rtsps", "http", "https", "tcp", "udp", "srt")
_PROTOCOLS = "udp,tcp,rtp,rtsp,http,https,httpproxy,tls,crypto,srt"
# Nothing that reads files of this computer, whatever a stream asks for.
_QUICK = {"fflags": "nobuffer", "analyzeduration": "500000", "fpsprobesize": "0"}


def target_of(setting: SourceSetting) -> tuple[str, str | None, dict[str, str]]:
    """What is opened, as which format (None lets the library find out), with which options.

    Raises:
        BadInputError: If there is no such way to reach a camera.
    """
    if setting.kind is SourceKind.DEVICE:
        return _device(setting)
    scheme = urlsplit(setting.address).scheme
    if scheme not in _SCHEMES:
        raise BadInputError(
            f"The {setting.view} camera's address begins with {scheme or 'nothing'!r}.",
            try_next=f"Give a URL that begins with {', '.join(_SCHEMES)}.",
            subject=setting.view,
        )
    options = {**_QUICK, "protocol_whitelist": _PROTOCOLS}
    if scheme == "rtsp":
        options |= {"rtsp_transport": "tcp", "timeout": str(round(QUIET_S * 1e6))}
    if scheme == "udp":
        options |= {"overrun_nonfatal": "1", "fifo_size": "50000", "buffer_size": "4000000"}
    form = None
    if scheme.startswith("http") and setting.form == "mjpeg":
        # Every part says its length: nothing has to be looked into beforehand.
        form = "mpjpeg"
        options |= {"analyzeduration": "0", "probesize": "32"}
    elif scheme == "udp" or (scheme == "tcp" and setting.form != "mjpeg"):
        # JPEGs don't go into a transport stream; what holds them is found out.
        form = "mpegts"
    return setting.address, form, options


def device_format() -> str:
    """The library's word for how this system reaches its cameras."""
    return _DEVICES.get(sys.platform, "v4l2")


def _device(setting: SourceSetting) -> tuple[str, str, dict[str, str]]:
    form = device_format()
    options = {"fflags": "nobuffer"}
    if setting.width_px and setting.height_px:
        options["video_size"] = f"{setting.width_px}x{setting.height_px}"
    if setting.rate_hz:
        options["framerate"] = f"{setting.rate_hz.numerator}/{setting.rate_hz.denominator}"
    raw = setting.form in ("yuyv422", "nv12", "uyvy422", "yuv420p")
    if form == "v4l2":
        options["input_format"] = setting.form or "mjpeg"
        return setting.address, form, options
    if setting.form:
        options["pixel_format" if raw else "vcodec"] = setting.form
    if form == "dshow":
        options["rtbufsize"] = "100M"
        return f"video={setting.address}", form, options
    return f"{setting.address}:none", form, options


def broken(
    setting: SourceSetting, error: BaseException | None, *, opening: bool
) -> NotReadableError:
    """The error for a person that a silent or failing source stands for."""
    who = f"The {setting.view} camera"
    if isinstance(error, PermissionError):
        return NotReadableError(
            f"{who} may not be used by this account.",
            try_next="Give this program the right to the camera in the system's settings.",
            subject=setting.view,
        )
    if opening:
        what = f"{who} is not there."
        hint = "Check its cable, its power and its name or address; it is tried again by itself."
    else:
        what = f"{who} stopped sending."
        hint = "Check its cable and power; it is taken up again as soon as it sends."
    return NotReadableError(what, try_next=hint, subject=setting.view)


def differences(
    setting: SourceSetting, width_px: int, height_px: int, codec: str
) -> tuple[str, ...]:
    """Where a source gives something else than was asked, a sentence each."""
    said = []
    asked = (setting.width_px, setting.height_px)
    if None not in asked and asked != (width_px, height_px):
        said.append(
            f"The {setting.view} camera was asked for {asked[0]}x{asked[1]} and gives "
            f"{width_px}x{height_px}."
        )
    coded = {"", codec, "yuyv422", "nv12", "uyvy422", "yuv420p"}
    if setting.form not in coded:
        said.append(f"The {setting.view} camera was asked for {setting.form} and gives {codec}.")
    return tuple(said)
