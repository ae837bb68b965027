"""A real window on a screen of its own: Xvfb shows it, real keys and a real mouse work it.

What is seen is read from the memory of the screen, which Xvfb keeps in a file.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

ROOT = Path(__file__).parents[2]
NEEDED = ("Xvfb", "xdotool")
PATIENCE_S = 40.0
_LOOK_AGAIN_S = 0.05
_HEADER_WORDS = 25
_BYTES_A_COLOUR = 12
# The file is an X window dump: a header of big-endian words, a table of colours, then rows.


def need_real_windows() -> None:
    """Skip where no real window can be shown; CI takes a skip for a failure."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing:
        pytest.skip(f"{', '.join(missing)} is not installed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A screen that nobody sits at.

    Args:
        display: Its name.
        memory: The file with what it shows.
        env: What a program needs to be shown there.
    """

    display: str
    memory: Path
    env: dict[str, str]

    def key(self, *keys: str) -> None:
        """Press keys one after the other, in X's words, such as ctrl+2."""
        self._do("key", "--delay", "40", *keys)

    def type(self, text: str) -> None:
        """Type a text."""
        self._do("type", "--delay", "12", text)

    def click(self, x_px: int, y_px: int) -> None:
        """Press the mouse's first button there."""
        self._do("mousemove", "--sync", str(x_px), str(y_px), "click", "1")

    def drag(self, start_px: tuple[int, int], end_px: tuple[int, int]) -> None:
        """Press the mouse, move and let go, in small steps as a hand does."""
        self.hold(start_px, end_px)
        self.let_go()

    def hold(self, start_px: tuple[int, int], end_px: tuple[int, int]) -> None:
        """Press the mouse and move, and don't let go."""
        steps = np.linspace(start_px, end_px, 12).round().astype(int)
        moves = [word for x, y in steps[1:] for word in ("mousemove", str(x), str(y))]
        first = [str(number) for number in start_px]
        self._do("mousemove", "--sync", *first, "mousedown", "1", *moves)

    def let_go(self) -> None:
        """Let go of the mouse."""
        self._do("mouseup", "1")

    def wheel(self, x_px: int, y_px: int) -> None:
        """Turn the wheel by a notch, to what stands further down."""
        self._do("mousemove", "--sync", str(x_px), str(y_px), "click", "5")

    def find(self, title: str) -> None:
        """Wait until a window of that title is shown."""
        self._do("search", "--sync", "--onlyvisible", "--name", f"^{title}$")

    def take_keyboard(self, title: str) -> None:
        """Give the keyboard to a window, as a desktop does when a dialog over it is closed."""
        self._do("search", "--sync", "--onlyvisible", "--name", f"^{title}$", "windowfocus")

    def _do(self, *words: str) -> None:
        subprocess.run(
            ["xdotool", *words],
            env=self.env,
            check=True,
            capture_output=True,
            timeout=PATIENCE_S,
        )

    def picture(self) -> NDArray[np.uint8]:
        """What is seen, (H, W, 3)."""
        raw = self.memory.read_bytes()
        header = np.frombuffer(raw, ">u4", _HEADER_WORDS)
        width, height, row_bytes = int(header[4]), int(header[5]), int(header[12])
        start = int(header[0]) + _BYTES_A_COLOUR * int(header[19])
        rows = np.frombuffer(raw, np.uint8, height * row_bytes, start).reshape(height, row_bytes)
        return rows.reshape(height, -1, 4)[:, :width, 2::-1].copy()


@contextmanager
def screen(folder: Path, size_px: tuple[int, int] = (1280, 720)) -> Iterator[Screen]:
    """Put a screen up, and take it down afterwards.

    Args:
        folder: An empty one, for the screen's memory and the programs' state.
        size_px: Width and height.
    """
    reading, writing = os.pipe()
    geometry = f"{size_px[0]}x{size_px[1]}x24"
    command = ["Xvfb", "-displayfd", str(writing), "-screen", "0", geometry]
    command += ["-fbdir", str(folder), "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=(writing,), stderr=subprocess.DEVNULL) as server:
        os.close(writing)
        try:
            with os.fdopen(reading) as pipe:
                display = f":{pipe.readline().strip()}"
            yield Screen(
                display=display,
                memory=folder / "Xvfb_screen0",
                env=_environment(folder, display),
            )
        finally:
            server.terminate()


def _environment(folder: Path, display: str) -> dict[str, str]:
    """What a program sees there: that screen, and homes of its own for state and data."""
    kept = {k: v for k, v in os.environ.items() if k not in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY")}
    homes = {f"XDG_{kind}_HOME": str(folder / kind.lower()) for kind in ("STATE", "DATA", "CACHE")}
    shown = {"DISPLAY": display, "QT_QPA_PLATFORM": "xcb", "LC_ALL": "C.UTF-8"}
    # A window that dies says where each of its threads was.
    return {**kept, **homes, **shown, "PYTHONFAULTHANDLER": "1"}


@contextmanager
def program(on: Screen, words: Sequence[str]) -> Iterator[subprocess.Popen[str]]:
    """Run `python -m WORDS` on that screen; it is ended at the end if it hasn't ended itself."""
    command = [sys.executable, "-m", *words]
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=on.env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        try:
            yield process
        finally:
            if process.poll() is None:
                process.kill()


def until(holds: Callable[[], bool], what: str) -> None:
    """Wait for something that another process does."""
    end_s = time.monotonic() + PATIENCE_S
    while not holds():
        if time.monotonic() > end_s:
            msg = f"not within {PATIENCE_S:.0f} s: {what}"
            raise TimeoutError(msg)
        threading.Event().wait(_LOOK_AGAIN_S)
