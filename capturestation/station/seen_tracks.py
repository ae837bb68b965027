"""Tracks of a swing as a file that can be made again, beside its other quick-looking things.

Owns the file's shape: one for each swing, named by the method that made it. What is missing or of
another method is made anew; nothing that a coach entered is in it.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from capturestation.folders import atomic_write_bytes
from capturestation.records import View
from capturestation.station.seeing import Looked
from capturestation.swing.tracks import BodyTrack, ClubTrack, Company, MotionTrack

METHOD = "tracks 1"
_NAME = "tracks-1.npz"
_MOTION = ("times_ns", "energy")
_BODY = ("times_ns", "joints_px", "seen")
_COMPANY = "company"
# Not in files of the first days: nobody else was looked for then.
_CLUB = ("times_ns", "grip_px", "head_px", "shaft_deg", "confidence")


def tracks_file(folder: Path) -> Path:
    """Where a swing's tracks lie in its folder of quick-looking things."""
    return folder / _NAME


def keep_tracks(folder: Path, seen: Mapping[View, Looked]) -> None:
    """Write a swing's tracks, each on its recording's own clock.

    Raises:
        OutputError: If they can't be written; an older file stays.
    """
    arrays: dict[str, np.ndarray[tuple[int, ...], np.dtype[np.generic]]] = {}
    for view, looked in seen.items():
        for part, names, track in (
            ("motion", _MOTION, looked.motion),
            ("body", _BODY, looked.body),
            ("club", _CLUB, looked.club),
        ):
            if track is not None:
                arrays |= {f"{view}/{part}/{name}": getattr(track, name) for name in names}
        about = looked.company
        arrays[f"{view}/{_COMPANY}"] = np.array(
            [about.others, about.is_doubtful, about.hidden_share, about.lies_deg], dtype=np.float64
        )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as package:
        for name, array in arrays.items():
            with package.open(f"{name}.npy", "w") as file:
                np.lib.format.write_array(file, array, allow_pickle=False)
    atomic_write_bytes(tracks_file(folder), held.getvalue())


def kept_tracks(folder: Path) -> dict[View, Looked]:
    """A swing's tracks as they were kept; nothing where there are none that can be read."""
    try:
        content = io.BytesIO(tracks_file(folder).read_bytes())
        with np.load(content, allow_pickle=False) as held:
            arrays = {name: held[name] for name in held.files}
        views = [view for view in View if f"{view}/motion/times_ns" in arrays]
        return {view: _looked(arrays, view) for view in views}
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        return {}


def _looked(
    arrays: Mapping[str, np.ndarray[tuple[int, ...], np.dtype[np.float64]]], view: View
) -> Looked:
    def parts(
        part: str, names: tuple[str, ...]
    ) -> dict[str, np.ndarray[tuple[int, ...], np.dtype[np.float64]]] | None:
        if f"{view}/{part}/{names[0]}" not in arrays:
            return None
        return {name: arrays[f"{view}/{part}/{name}"] for name in names}

    motion, body, club = parts("motion", _MOTION), parts("body", _BODY), parts("club", _CLUB)
    assert motion is not None
    about = arrays.get(f"{view}/{_COMPANY}", np.zeros(4))
    return Looked(
        motion=MotionTrack(times_ns=motion["times_ns"].astype(np.int64), energy=motion["energy"]),
        body=None
        if body is None
        else BodyTrack(
            times_ns=body["times_ns"].astype(np.int64),
            joints_px=body["joints_px"],
            seen=body["seen"],
        ),
        club=None
        if club is None
        else ClubTrack(
            times_ns=club["times_ns"].astype(np.int64),
            grip_px=club["grip_px"],
            head_px=club["head_px"],
            shaft_deg=club["shaft_deg"],
            confidence=club["confidence"],
        ),
        company=Company(
            others=int(about[0]),
            is_doubtful=bool(about[1]),
            hidden_share=float(about[2]),
            lies_deg=int(about[3]),
        ),
    )
