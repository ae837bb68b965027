"""In which sizes, rates and codings a plugged-in camera says that it can send.

Owns the listing for people. Only Linux tells without opening the camera for recording; elsewhere
that is said. Called when a station is looked over, never while recording.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

from capturestation.media import _v4l2


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """What one camera says.

    Args:
        address: The camera.
        modes: A line each, largest pictures first.
        said: Why there are none.
    """

    address: str
    modes: tuple[str, ...] = ()
    said: tuple[str, ...] = ()


def modes_of(address: str, ioctl: _v4l2.Ioctl | None = None) -> Modes:
    """Ask a camera; one that can't be asked gives a reason instead."""
    if not sys.platform.startswith("linux"):
        said = "Its modes can't be listed on this system: ask for one with --mode and see."
        return Modes(address=address, said=(said,))
    try:
        with _v4l2.opened(address, *(() if ioctl is None else (ioctl,))) as camera:
            modes = camera.modes()
    except OSError as error:
        said = f"It can't be asked for its modes: {error.strerror or error}."
        return Modes(address=address, said=(said,))
    modes.sort(key=lambda mode: (-mode.width_px * mode.height_px, mode.form))
    return Modes(address=address, modes=tuple(_words(mode) for mode in modes))


def _words(mode: _v4l2.Mode) -> str:
    rates = ", ".join(f"{float(rate_hz):g}" for rate_hz in mode.rates_hz) or "any"
    return f"{mode.width_px}x{mode.height_px} {mode.form}: {rates} frames a second"
