"""The stop key, pressed while a real command works in a terminal, leaves nothing behind."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from capturestation.library import Library
from capturestation.records import Quiet
from tests.helpers.bay_files import Filmed, bay_file
from tests.helpers.station_library import Filled, everything_in

ROOT = Path(__file__).parents[2]


def add_long_file(folder: Path) -> list[str]:
    """Add a file that takes a while to read."""
    long = bay_file(folder / "long.mp4", Filmed(seed=8, frames=600))
    return ["swings", "add", "zoe", "--club", "7 iron", "--face-on", str(long)]


def make_clip(folder: Path) -> list[str]:
    """Make a clip of some hundred frames."""
    return ["clip", "--own-use", "--out", str(folder / "out" / "clip.mp4")]


def walk_the_demo(folder: Path) -> list[str]:
    """Walk the whole way on the invented lesson."""
    return ["demo", "--out", str(folder / "out" / "demo")]


JOBS: dict[str, tuple[Callable[[Path], list[str]], str]] = {
    "swings add": (add_long_file, "finding the strike"),
    "clip": (make_clip, "making the clip"),
    "demo": (walk_the_demo, "finding the strike"),
}
"""What takes a while, and what it says while it works."""


def stopped(words: list[str], library: Path, said: str) -> tuple[int, str]:
    """Run a command in a terminal, press the stop key once it says `said`; its code and words."""
    above, below = pty.openpty()
    env = {**os.environ, "CAPTURESTATION_LIBRARY": str(library)}
    with subprocess.Popen(
        [sys.executable, "-m", "capturestation", *words],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        stderr=below,
    ) as process:
        os.close(below)
        heard = ""
        while said not in heard:
            heard += os.read(above, 1024).decode(errors="replace")
        process.send_signal(signal.SIGINT)
        heard += drained(above)
        code = process.wait(timeout=40)
    os.close(above)
    return code, heard


def drained(terminal: int) -> str:
    """All that is still said; Linux ends a terminal that nobody holds open with an error."""
    heard = ""
    while True:
        try:
            part = os.read(terminal, 1024)
        except OSError:
            return heard
        if not part:
            return heard
        heard += part.decode(errors="replace")


@pytest.mark.process
@pytest.mark.parametrize("job", JOBS)
def test_a_stopped_command_leaves_nothing_and_says_so(
    filled: Filled, tmp_path: Path, job: str
) -> None:
    (tmp_path / "out").mkdir()
    words, said = JOBS[job]
    before = everything_in(filled.folder)

    code, heard = stopped(words(tmp_path), filled.folder, said)

    assert code == 130, heard
    assert "Stopped at your request." in heard
    assert "Traceback" not in heard
    assert everything_in(filled.folder) == before
    assert list((tmp_path / "out").iterdir()) == []
    with Library.open(filled.folder) as library:
        assert library.check(Quiet()).sound
