"""Holding a camera still: focus, exposure and white balance as they are, no stabilisation.

Owns what is asked of it, the reading back, and the sentences about what can't be held: where a lens
or a picture may move by itself, distances in it are not to be trusted. Called once a camera sends,
since some take up their own ways again when they begin.
"""

from __future__ import annotations

import sys

from capturestation.media import _v4l2
from capturestation.records.capture import Locks, SourceKind, SourceSetting

FOCUS, EXPOSURE = "focus", "exposure"
WHITE_BALANCE, STABILISATION = "white balance", "stabilisation"
ALL = (FOCUS, EXPOSURE, WHITE_BALANCE, STABILISATION)
_100US_A_MS = 10


def held(setting: SourceSetting, ioctl: _v4l2.Ioctl | None = None) -> tuple[tuple[str, ...], str]:
    """Hold what can be held.

    Args:
        setting: The camera and what is to be held of it.
        ioctl: Asks the kernel; for trials another one.

    Returns:
        What is not held, and a sentence about that.
    """
    if not setting.locks.wanted or setting.kind is SourceKind.REPLAY:
        return (), ""
    if setting.kind is SourceKind.DEVICE and sys.platform.startswith("linux"):
        try:
            with _v4l2.opened(setting.address, *(() if ioctl is None else (ioctl,))) as camera:
                loose = _not_held(camera, setting.locks)
        except OSError:
            loose = ALL
    else:
        loose = ALL
    return loose, _said(setting, loose)


def _not_held(camera: _v4l2.Camera, locks: Locks) -> tuple[str, ...]:
    exposure = None if locks.exposure_ms is None else round(locks.exposure_ms * _100US_A_MS)
    # A camera that may lengthen its exposure in the dark sends fewer frames then.
    camera.set(_v4l2.EXPOSURE_SLOWS_RATE, 0)
    done = {
        FOCUS: _held_at(camera, (_v4l2.FOCUS_AUTO, 0), (_v4l2.FOCUS, locks.focus)),
        EXPOSURE: _held_at(
            camera,
            (_v4l2.EXPOSURE_AUTO, _v4l2.EXPOSURE_BY_HAND),
            (_v4l2.EXPOSURE_100US, exposure),
        ),
        WHITE_BALANCE: _held_at(
            camera,
            (_v4l2.AUTO_WHITE_BALANCE, 0),
            (_v4l2.WHITE_BALANCE_K, locks.white_balance_k),
        ),
        # One that has no such control does not do it.
        STABILISATION: camera.get(_v4l2.STABILISES) in (None, 0) or camera.set(_v4l2.STABILISES, 0),
    }
    return tuple(what for what, is_held in done.items() if not is_held)


def _held_at(camera: _v4l2.Camera, by_hand: tuple[int, int], at: tuple[int, int | None]) -> bool:
    """Whether it no longer changes by itself, and stands where it was asked to."""
    # What it has found by itself by now is what it is held at.
    found = camera.get(at[0])
    if not camera.set(*by_hand):
        return False
    wanted = found if at[1] is None else at[1]
    return wanted is None or camera.set(at[0], wanted)


def _said(setting: SourceSetting, loose: tuple[str, ...]) -> str:
    who = f"The {setting.view} camera"
    if loose == ALL:
        return (
            f"{who} can't be held still from here: hold its focus, exposure and white balance in "
            "its own settings, without stabilisation, or distances in its picture are not to be "
            "trusted."
        )
    if not loose:
        return ""
    things = " and ".join([", ".join(loose[:-1]), loose[-1]] if len(loose) > 1 else loose)
    return (
        f"{who} does not let its {things} be held: if that changes by itself, distances in its "
        "picture are not to be trusted."
    )
