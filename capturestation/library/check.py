"""Looking a library over: what the rows say against what lies in the folders. Changes nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from capturestation.errors import LibraryError, NotReadableError
from capturestation.folders import FACTS_FILE, PARTIAL, sha256_of
from capturestation.folders.files import CHUNK_BYTES
from capturestation.records import Part, Recording, SwingFacts, Watch


class Problem(StrEnum):
    """What can be wrong with one path of a library."""

    MISSING = "missing"
    CHANGED = "changed"
    UNREADABLE = "can't be understood"
    ORPHANED = "not in the library's rows"
    PARTIAL = "not finished"
    NO_FOLDER = "in the rows, without a folder"
    DIFFERS = "other than the rows say"
    GONE = "deleted before"
    DATABASE = "damaged rows"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that is wrong, where, and in words."""

    problem: Problem
    path: Path
    said: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckReport:
    """What looking a library over found; sound if it found nothing."""

    findings: tuple[Finding, ...]
    swings: int
    files: int

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.findings

    def of(self, problem: Problem) -> tuple[Path, ...]:
        """The paths with that problem."""
        return tuple(f.path for f in self.findings if f.problem is problem)


def check_recordings(folder: Path, facts: SwingFacts, watch: Watch) -> None:
    """Read a swing's recordings against the hashes of its facts.

    Raises:
        NotReadableError: If one is missing or has other bytes; names it.
        CancelledError: If the watch stops it.
    """
    for finding in recording_findings(folder, facts.recordings, watch):
        raise NotReadableError(
            f"{finding.path} is {finding.problem}.",
            try_next="Bring it back from where it was recorded, or leave this swing out.",
            subject=str(finding.path),
        )


def recording_findings(
    folder: Path, recordings: tuple[Recording, ...], watch: Watch
) -> Iterator[Finding]:
    """What is wrong with the files of a swing, one finding a file at most."""
    for number, recording in enumerate(recordings):
        path = folder / recording.file
        part = Part(watch, number / len(recordings), (number + 1) / len(recordings))
        if not path.is_file():
            yield Finding(problem=Problem.MISSING, path=path)
        elif path.stat().st_size != recording.size_bytes:
            said = f"{path.stat().st_size} bytes instead of {recording.size_bytes}"
            yield Finding(problem=Problem.CHANGED, path=path, said=said)
        elif sha256_of(path, part) != recording.sha256:
            yield Finding(problem=Problem.CHANGED, path=path, said="other bytes")


def holds(path: Path, needle: bytes) -> bool:
    """Whether a file's bytes hold these; read in pieces, as rows may be larger than memory."""
    tail = b""
    with path.open("rb") as stream:
        while piece := stream.read(CHUNK_BYTES):
            if needle in tail + piece:
                return True
            tail = piece[-len(needle) :]
    return False


def file_findings(path: Path, read: Callable[[Path], object], known: object) -> Iterator[Finding]:
    """What is wrong with one JSON file against what the rows say."""
    if not path.exists():
        yield Finding(problem=Problem.MISSING, path=path)
        return
    try:
        if read(path) != known:
            yield Finding(problem=Problem.DIFFERS, path=path)
    except LibraryError as error:
        yield Finding(problem=Problem.UNREADABLE, path=path, said=error.what)


def swing_folders(above: Path) -> list[Path]:
    """All folders that lie where swings lie, finished or not, in order."""
    return sorted(p for p in above.glob("*/*/*") if p.is_dir())


def stray_findings(swings: Path, known: Iterable[Path]) -> Iterator[Finding]:
    """Folders that are not finished or that the rows don't know."""
    expected = set(known)
    for folder in swing_folders(swings):
        if folder.name.endswith(PARTIAL):
            yield Finding(problem=Problem.PARTIAL, path=folder)
        elif folder not in expected:
            finished = (folder / FACTS_FILE).exists()
            yield Finding(problem=Problem.ORPHANED if finished else Problem.PARTIAL, path=folder)


def leftover_findings(folder: Path) -> Iterator[Finding]:
    """Files that were being written when something stopped it."""
    for path in sorted(folder.glob(f".*{PARTIAL}")):
        yield Finding(problem=Problem.PARTIAL, path=path)
