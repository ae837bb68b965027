"""Files handed in as a swing: read once, checked, described.

Owns what can be said about a file before it is kept. Refuses a file that is no usable video, two
files of one view, and the same file twice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np

from capturestation.errors import BadInputError, NotReadableError
from capturestation.folders import recording_name, sha256_of
from capturestation.media.frames import FrameReader
from capturestation.media.index import FrameIndex, index_frames
from capturestation.media.probe import MediaFacts, probe
from capturestation.records import FrameArray, Recording, View, Watch
from capturestation.records.swings import MOST_RECORDINGS
from capturestation.tracking.views import same_view

SAMPLED_FRAMES = 5
FEWEST_FRAMES = 2
FIRST_BELIEVED_YEAR = 2000
"""A camera whose clock was never set writes 1904 or 1970."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One file of a swing, as found."""

    view: View
    path: Path
    facts: MediaFacts
    index: FrameIndex
    sha256: str
    camera: str = ""

    @property
    def end_ns(self) -> int:
        """Where the last shown frame ends, media clock."""
        return int(self.index.times_ns[0]) + self.index.duration_ns

    @property
    def frame_ns(self) -> int:
        """The usual time from one shown frame to the next."""
        return int(np.median(np.diff(self.index.times_ns)))

    def recording(self) -> Recording:
        """The facts that `swing.json` keeps."""
        return Recording(
            view=self.view,
            file=recording_name(self.view, self.path.name),
            sha256=self.sha256,
            size_bytes=self.path.stat().st_size,
            width_px=self.facts.width_px,
            height_px=self.facts.height_px,
            frames=len(self.index.pts),
            rate_hz=self.facts.mean_rate_hz,
            time_base=self.index.time_base,
            first_pts=int(self.index.pts[0]),
            duration_ns=self.index.duration_ns,
            has_sound=self.facts.has_sound,
            camera=self.camera,
        )


def read_sources(
    files: Mapping[View, Path], cameras: Mapping[View, str], watch: Watch
) -> tuple[Source, ...]:
    """Read what each file is.

    Raises:
        NotReadableError: If a file is no usable video; names it.
        BadInputError: If there is no file or too many, or two are the same file or the same view.
    """
    if not 1 <= len(files) <= MOST_RECORDINGS:
        raise BadInputError(
            f"A swing has one to {MOST_RECORDINGS} files, not {len(files)}.",
            try_next="Name one file for each camera.",
        )
    sources = [_read(view, path, cameras.get(view, ""), watch) for view, path in files.items()]
    _refuse_same_file(sources)
    _refuse_same_view(sources)
    return tuple(sources)


def _read(view: View, path: Path, camera: str, watch: Watch) -> Source:
    watch.report(0.0, f"reading {path.name}")
    facts = probe(path)
    index = index_frames(path)
    if len(index.pts) < FEWEST_FRAMES:
        raise NotReadableError(
            f"{path.name} holds {len(index.pts)} frame.",
            try_next="Choose the moving picture of the swing, not a still.",
            subject=str(path),
        )
    return Source(
        view=view,
        path=path,
        facts=facts,
        index=index,
        sha256=sha256_of(path, watch),
        camera=camera,
    )


def _refuse_same_file(sources: Sequence[Source]) -> None:
    by_hash: dict[str, Source] = {}
    for source in sources:
        other = by_hash.setdefault(source.sha256, source)
        if other is not source:
            raise BadInputError(
                f"{source.path} is given for {source.view} and for {other.view} too.",
                try_next="Name the other camera's file, or add one view alone.",
                subject=str(source.path),
            )


def _refuse_same_view(sources: Sequence[Source]) -> None:
    stills = [_still(source) for source in sources] if len(sources) > 1 else []
    for n, (source, still) in enumerate(zip(sources, stills, strict=False)):
        for other, before in zip(sources[:n], stills[:n], strict=True):
            if same_view(still, before):
                raise BadInputError(
                    f"{source.path} and {other.path} show the same view.",
                    try_next=f"Name the {source.view} file, or add one view alone.",
                    subject=str(source.path),
                )


def _still(source: Source) -> FrameArray:
    return still_of(source.path)


def still_of(path: Path) -> FrameArray:
    """What stays in place in a file: the middle of a few frames, grey, shape (H, W).

    Raises:
        NotReadableError: If it is no usable video.
    """
    with FrameReader(path) as reader:
        ordinals = np.linspace(0, len(reader.index.pts) - 1, SAMPLED_FRAMES).astype(int)
        greys = [reader.frame_grey(int(n)) for n in ordinals]
    return np.asarray(np.median(np.stack(greys), axis=0), dtype=np.uint8)


def struck_at(sources: Sequence[Source]) -> datetime:
    """When the swing was made: what a file says of itself, else when it was last written."""
    for source in sources:
        told = source.facts.tags.get("creation_time", "")
        try:
            found = datetime.fromisoformat(told)
        except ValueError:
            continue
        if found.year >= FIRST_BELIEVED_YEAR:
            return found.astimezone()
    return datetime.fromtimestamp(sources[0].path.stat().st_mtime).astimezone()
