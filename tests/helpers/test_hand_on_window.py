"""A window that dies under the hand says how, and where all of its threads were."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.hand_on_window import Hand
from tests.helpers.real_window import Screen

DIES = """
import faulthandler, sys, threading
there = threading.Semaphore(0)
def wait_at_the_door():
    there.release()
    threading.Event().wait()
def fall(): faulthandler._sigsegv()
for _ in range(40): threading.Thread(target=wait_at_the_door, daemon=True).start()
for _ in range(40): there.acquire()
if sys.argv[1] == "asked": sys.stdin.readline()
fall()
"""


@pytest.mark.process
@pytest.mark.parametrize("when", ["asked", "before"])
def test_of_a_window_that_crashed_all_threads_are_told(when: str, tmp_path: Path) -> None:
    on = Screen(display="", memory=tmp_path / "none", env={})
    pipe = subprocess.PIPE
    with subprocess.Popen(
        [sys.executable, "-c", DIES, when],
        env={**os.environ, "PYTHONFAULTHANDLER": "1"},
        stdin=pipe,
        stdout=pipe,
        stderr=pipe,
        text=True,
    ) as process:
        if when == "before":
            process.wait(timeout=30)

        with pytest.raises(RuntimeError, match="the window has gone: exit code -11") as told:
            Hand(on, process).seen()

    assert "Segmentation fault" in str(told.value)
    assert "in fall" in str(told.value)
    assert "in wait_at_the_door" in str(told.value)
