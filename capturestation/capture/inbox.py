"""The folder in which finished swings are left, and what tells of those that were not finished.

    <id>/                   a finished swing: swing.json, capture.json, recordings, stamps
    <id>.partial/           one that is being written
    .<id>.struck            says that it was struck, by which process; gone once it is kept or lost
    .<token>.recorder       held by a process as long as it lives
    .looks/<id>/            quick looks at the last two, which nothing rests on

Several processes may have one inbox. Whoever starts says which balls of dead ones are lost.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from capturestation.errors import LibraryError, OutputError
from capturestation.folders import (
    PARTIAL,
    check_id,
    make_folder,
    read_document,
    remove_file,
    remove_folder,
    write_document,
)
from capturestation.folders.hold import Hold, is_alive
from capturestation.records import new_id

_STRUCK = ".struck"
_RECORDER = ".recorder"
_LOOKS = ".looks"
_KEPT_LOOKS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A ball that was struck, before it is kept.

    Args:
        id: Of the swing to be.
        struck_at: When.
        owner: Which process keeps it.
    """

    id: str
    struck_at: datetime
    owner: str


class Inbox:
    """An inbox while this process records into it.

    Args:
        folder: Made if it isn't there.

    Raises:
        OutputError: If it can't be written.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        make_folder(folder)
        self._owner = new_id()
        self._hold = Hold(self._holder(self._owner))
        self._looks: list[Path] = []

    def _holder(self, owner: str) -> Path:
        check_id(owner)
        return self.folder / f".{owner}{_RECORDER}"

    def claim(self, swing_id: str, struck_at: datetime) -> None:
        """Write down that a ball was struck, before anything else of it is.

        Raises:
            OutputError: If it can't be written.
        """
        claim = Claim(id=swing_id, struck_at=struck_at, owner=self._owner)
        write_document(self._claim_file(swing_id), "struck", claim)

    def settle(self, swing_id: str) -> None:
        """Take the claim away: the ball is kept, or its loss was said."""
        remove_file(self._claim_file(swing_id))

    def _claim_file(self, swing_id: str) -> Path:
        check_id(swing_id)
        return self.folder / f".{swing_id}{_STRUCK}"

    def sweep(self) -> tuple[Claim, ...]:
        """Clear away what processes left that were killed; gives the balls that are lost by it.

        A ball whose folder was finished before the end is not lost.
        """
        lost = [claim for path in self._claim_files() if (claim := self._left(path)) is not None]
        for path in self.folder.glob(f".*{_RECORDER}"):
            if not is_alive(path):
                remove_file(path)
        alive = any(path != self._hold.path for path in self.folder.glob(f".*{_RECORDER}"))
        if not alive:
            remove_folder(self.folder / _LOOKS)
        return tuple(lost)

    def _claim_files(self) -> list[Path]:
        return sorted(self.folder.glob(f".*{_STRUCK}*"))

    def _left(self, path: Path) -> Claim | None:
        try:
            claim = read_document(path, "struck", Claim)
            check_id(claim.id)
            sweeper = path.name.rpartition(".")[2]
            busy = {claim.owner, sweeper} - {_STRUCK.removeprefix(".")}
            if any(owner == self._owner or is_alive(self._holder(owner)) for owner in busy):
                return None
        except (LibraryError, ValueError):
            # Damaged by the power cut that killed its writer: it can say nothing any more.
            remove_file(path)
            return None
        # Two processes that start at once must not both say it.
        mine = self._claim_file(claim.id).with_name(f".{claim.id}{_STRUCK}.{self._owner}")
        with suppress(OSError):
            path.rename(mine)
            remove_file(mine)
            remove_folder(self.folder / f"{claim.id}{PARTIAL}")
            return None if (self.folder / claim.id).is_dir() else claim
        return None

    def look_folder(self, swing_id: str) -> Path:
        """A folder for a quick look; all but the last two go.

        Raises:
            OutputError: If it can't be made.
        """
        check_id(swing_id)
        folder = self.folder / _LOOKS / swing_id
        make_folder(folder)
        self._looks.append(folder)
        while len(self._looks) > _KEPT_LOOKS:
            remove_folder(self._looks.pop(0))
        return folder

    def drop(self, swing_id: str) -> None:
        """Take a finished swing away.

        Raises:
            OutputError: If it is not there; the library may have it already.
        """
        check_id(swing_id)
        folder = self.folder / swing_id
        if not folder.is_dir():
            raise OutputError(
                f"The ball {swing_id} is not in the inbox any more.",
                try_next="Delete it from the lesson instead.",
                subject=swing_id,
            )
        remove_folder(folder)

    def leave(self) -> None:
        """Let go; quick looks go too."""
        while self._looks:
            remove_folder(self._looks.pop())
        with suppress(OSError):
            # It stays while another process has looks in it.
            (self.folder / _LOOKS).rmdir()
        self._hold.release()
