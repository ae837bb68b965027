"""Keeps rendered clips in the user's cache folder, so that no clip is rendered twice.

Owns that folder. A clip is found by what decides it: its parameters and the code that draws it.
Safe under several processes: each makes its own copy in a hidden folder and puts it in place by
one rename; who comes second throws his away.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import tempfile
import time
from functools import cache
from importlib.resources import files
from pathlib import Path

import cv2
import numpy as np
import platformdirs

from capturestation.errors import OutputError
from capturestation.records import Watch, to_plain
from sample_sessions.film import Shot, render_shot

_CODE = ("sample_sessions", "capturestation.media")
_MAKING = ".making-"
_FORGET_DAYS = 14
_GIVEN_UP_S = 86_400
# Nobody renders one clip for a day.


def usual_folder() -> Path:
    """Where clips are kept: in the user's cache folder, `XDG_CACHE_HOME` on Linux."""
    return platformdirs.user_cache_path("capturestation") / "samples"


@cache
def code_version() -> str:
    """Changes with every change of the code that draws, sounds or encodes."""
    seen = hashlib.sha256(f"{np.__version__} {cv2.__version__}".encode())
    for package in _CODE:
        modules = (f for f in files(package).iterdir() if f.name.endswith(".py"))
        for module in sorted(modules, key=lambda f: f.name):
            seen.update(module.name.encode())
            seen.update(module.read_bytes())
    return seen.hexdigest()[:16]


def key_of(shot: Shot) -> str:
    """What a shot is found by, within one version of the code."""
    text = json.dumps(to_plain(shot), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def kept_clip(shot: Shot, watch: Watch, *, folder: Path | None = None) -> Path:
    """The clip of a shot, rendered now if it never was; its truth lies beside it.

    Args:
        shot: What decides it.
        watch: Hears of progress and may stop it; nothing partial is left then.
        folder: Where clips are kept; `usual_folder` unless given.

    Returns:
        The clip in the cache: to read, not to change.

    Raises:
        OutputError: If the cache folder can't be written.
        CancelledError: If the watch stops it.
    """
    version = (usual_folder() if folder is None else folder) / code_version()
    place = version / key_of(shot)
    if not _whole(place, shot):
        _make(shot, watch, version, place)
    return place / shot.clip_name


def _whole(place: Path, shot: Shot) -> bool:
    return (place / shot.clip_name).is_file() and (place / shot.truth_name).is_file()


def _make(shot: Shot, watch: Watch, version: Path, place: Path) -> None:
    making: Path | None = None
    try:
        version.mkdir(parents=True, exist_ok=True)
        _forget_old(version)
        making = Path(tempfile.mkdtemp(prefix=_MAKING, dir=version))
        render_shot(shot, making, watch)
        _put(making, place, shot)
    except OSError as error:
        raise OutputError(
            f"The cache folder {version.parent} can't be written: {error.strerror}.",
            try_next="Make room, or set XDG_CACHE_HOME to a folder that can be written.",
            subject=str(version.parent),
        ) from error
    finally:
        if making is not None:
            shutil.rmtree(making, ignore_errors=True)


def _put(making: Path, place: Path, shot: Shot) -> None:
    """One rename; if another process was first, its clip is as good."""
    try:
        making.rename(place)
    except OSError:
        if not _whole(place, shot):
            raise


def _forget_old(version: Path) -> None:
    """Drop what a killed run has left, and what other versions of the code made long ago."""
    for left in version.glob(f"{_MAKING}*"):
        if left.stat().st_mtime < time.time() - _GIVEN_UP_S:
            shutil.rmtree(left, ignore_errors=True)
    oldest_s = time.time() - _FORGET_DAYS * 86_400
    for other in version.parent.iterdir():
        if other != version and other.is_dir() and other.stat().st_mtime < oldest_s:
            shutil.rmtree(other, ignore_errors=True)
