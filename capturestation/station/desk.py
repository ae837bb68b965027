"""How the window stood, so that it stands so again: its place, its letters, a remote's keys.

Owns one small file in this account's own state folder. It holds ids and no name. Loss of it costs
a few settings and nothing else, so a damaged one is told in a sentence and begun afresh.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from platformdirs import user_state_path

from capturestation.errors import StationError
from capturestation.folders import make_folder, read_document, write_document
from capturestation.records import SwingId

_WORD = "window"


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """The keys that one key of a presenter's remote sends.

    Args:
        action: What it is to do, such as remote.next.
        keys: In Qt's portable words.
    """

    action: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One small thing that a place wants back."""

    place: str
    name: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """How the window stands.

    Args:
        library: Folder of the library that was chosen last; empty for the usual one.
        place: Where one was: book, bench.
        swing: What was looked at; None for nothing.
        theme: light or dark.
        scale: Size of the letters, 1 to 2.
        left_px: Where the window stood.
        top_px: Where the window stood.
        width_px: How large it was when it didn't fill the screen.
        height_px: How large it was when it didn't fill the screen.
        filled: How it filled the screen: no, window or whole.
        tv: Whether the second screen showed pictures.
        remote: What was learnt of a remote.
        kept: What the places want back.
    """

    library: str = ""
    place: str = ""
    swing: SwingId | None = None
    theme: str = "light"
    scale: float = 1.0
    left_px: int = 0
    top_px: int = 0
    width_px: int = 1280
    height_px: int = 720
    filled: str = "no"
    tv: bool = False
    remote: tuple[Learnt, ...] = ()
    kept: tuple[Kept, ...] = ()

    def __post_init__(self) -> None:
        if not 1.0 <= self.scale <= 2.0:
            msg = f"scale {self.scale} is not from 1 to 2"
            raise ValueError(msg)
        if min(self.width_px, self.height_px) < 1:
            msg = f"a window of {self.width_px} × {self.height_px} pixels"
            raise ValueError(msg)

    def learnt(self) -> dict[str, tuple[str, ...]]:
        """A remote's keys by action."""
        return {line.action: line.keys for line in self.remote}

    def with_learnt(self, action: str, keys: tuple[str, ...]) -> Desk:
        """The same with an action's keys learnt anew; a key means one thing, so others lose it.

        Args:
            action: What they are to do.
            keys: None of them forgets what was learnt for it.

        Example:
            >>> desk = Desk().with_learnt("remote.next", ("Right",))
            >>> desk.with_learnt("remote.play", ("Right",)).learnt()
            {'remote.play': ('Right',)}
        """
        kept = {
            line.action: tuple(key for key in line.keys if key not in keys)
            for line in self.remote
            if line.action != action
        }
        kept[action] = keys
        return replace(self, remote=tuple(Learnt(action=a, keys=k) for a, k in kept.items() if k))

    def of_place(self, place: str) -> dict[str, str]:
        """What that place wanted back."""
        return {item.name: item.value for item in self.kept if item.place == place}

    def with_place(self, place: str, kept: Mapping[str, str]) -> Desk:
        """The same with what that place wants back next time."""
        others = tuple(item for item in self.kept if item.place != place)
        own = tuple(Kept(place=place, name=n, value=v) for n, v in sorted(kept.items()))
        return replace(self, kept=others + own)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadDesk:
    """A desk, and what was wrong with the file that it should have come from.

    Args:
        desk: How the window stood.
        is_first: Whether there was no such file: the window was never open here.
        trouble: What was wrong with it.
    """

    desk: Desk
    is_first: bool = False
    trouble: StationError | None = None


def desk_file() -> Path:
    """Where the window's state lies for this account."""
    return user_state_path("capturestation") / "window.json"


def read_desk(path: Path) -> ReadDesk:
    """How the window stood last time; as at first where there is no such file or it is damaged."""
    if not path.exists():
        return ReadDesk(desk=Desk(), is_first=True)
    try:
        return ReadDesk(desk=read_document(path, _WORD, Desk))
    except StationError as error:
        told = StationError(
            "How the window stood last time could not be read, so it stands as at first.",
            try_next="Go on: it is kept anew when you close. No swing is touched by this.",
            subject=str(path),
        )
        told.__cause__ = error
        return ReadDesk(desk=Desk(), trouble=told)


def write_desk(path: Path, desk: Desk) -> None:
    """Keep how the window stands, whole or not at all.

    Raises:
        LibraryError: If a newer program wrote the file; it stands.
        OutputError: If it can't be written; the old file stands.
    """
    make_folder(path.parent)
    write_document(path, _WORD, desk)
