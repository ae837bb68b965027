"""Which cameras and which microphone this bay has, kept for this account on this computer.

Owns one small file beside the window's own. A network camera's address may hold a password: the
file can be read by this account alone, and an address is never said or noted.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace
from pathlib import Path

from platformdirs import user_state_path

from capturestation.errors import StationError
from capturestation.folders import make_folder, read_document, write_document
from capturestation.records import NS_PER_S
from capturestation.records.capture import (
    CaptureSetting,
    MicrophoneSetting,
    SourceSetting,
    Windows,
)
from capturestation.station.bay.demo_bay import demo_cameras

_WORD = "bay"
LESSON_PX, LESSON_HZ = 480, 10
CLOSE_PX, CLOSE_HZ = 1280, 4
"""While cameras are set up: focus can't be judged on a small picture."""
_REPLAY_BEGINS_NS = NS_PER_S // 2


@dataclass(frozen=True, slots=True, kw_only=True)
class SharpThen:
    """What the last check of a camera measured, to tell another day's from it.

    Args:
        view: Which.
        sharpness: As `check.sharpness`.
        light: As `check.light`.
    """

    view: str
    sharpness: float
    light: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BaySetting:
    """The bay's cameras and its ear.

    Args:
        cameras: One for each view; none before the first set-up.
        microphone: The station's own; None listens to the first camera that sends sound.
        windows: How much of each ball is kept.
        is_demo: The invented bay instead: no camera is opened.
        checked: What the last morning check measured.
    """

    cameras: tuple[SourceSetting, ...] = ()
    microphone: MicrophoneSetting | None = None
    windows: Windows = field(default_factory=Windows)
    is_demo: bool = False
    checked: tuple[SharpThen, ...] = ()

    @property
    def has_cameras(self) -> bool:
        """Whether there is anything to record from."""
        return self.is_demo or bool(self.cameras)

    def sources(self) -> tuple[SourceSetting, ...]:
        """The cameras that are recorded, those of the invented bay where that is chosen."""
        return demo_cameras() if self.is_demo else self.cameras

    def with_camera(self, camera: SourceSetting) -> BaySetting:
        """The same with that camera where its view was, and no longer the invented bay."""
        others = tuple(one for one in self.cameras if one.view is not camera.view)
        return replace(self, cameras=(*others, camera), is_demo=False)

    def without(self, view: str) -> BaySetting:
        """The same without the camera of that view."""
        return replace(self, cameras=tuple(one for one in self.cameras if one.view != view))


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadBay:
    """The bay's setting, and what was wrong with the file that it should have come from."""

    setting: BaySetting
    trouble: StationError | None = None


def bay_file() -> Path:
    """Where the bay's setting lies for this account."""
    return user_state_path("capturestation") / "bay.json"


def read_bay(path: Path) -> ReadBay:
    """The bay as it was set up; as at first where it never was, or the file is damaged."""
    if not path.exists():
        return ReadBay(setting=BaySetting())
    try:
        return ReadBay(setting=read_document(path, _WORD, BaySetting))
    except StationError as error:
        told = StationError(
            "How the bay was set up could not be read.",
            try_next="Choose the cameras once more; no ball is touched by this.",
            subject=str(path),
        )
        told.__cause__ = error
        return ReadBay(setting=BaySetting(), trouble=told)


def write_bay(path: Path, setting: BaySetting) -> None:
    """Keep how the bay is set up, whole or not at all, for this account alone.

    Raises:
        LibraryError: If a newer program wrote the file; it stands.
        OutputError: If it can't be written; the old file stands.
    """
    make_folder(path.parent)
    write_document(path, _WORD, setting)


def capture_setting(setting: BaySetting, inbox: Path, *, close: bool = False) -> CaptureSetting:
    """What the recording process is given.

    Args:
        setting: The bay.
        inbox: Where it leaves what it keeps.
        close: Whether its live pictures are large, to set cameras up; else small and more often.
    """
    begins_ns = time.perf_counter_ns() + _REPLAY_BEGINS_NS
    return CaptureSetting(
        inbox=str(inbox),
        sources=tuple(_begun(source, begins_ns) for source in setting.sources()),
        microphone=setting.microphone,
        windows=setting.windows,
        preview_px=CLOSE_PX if close else LESSON_PX,
        preview_hz=CLOSE_HZ if close else LESSON_HZ,
    )


def _begun(source: SourceSetting, begins_ns: int) -> SourceSetting:
    """Replays of one bay begin together."""
    if source.replay is None or source.replay.begins_host_ns is not None:
        return source
    return replace(source, replay=replace(source.replay, begins_host_ns=begins_ns))
