"""What only a beginning needed is given back, and comes back by itself where it is needed again."""

from __future__ import annotations

import subprocess
import sys

import pytest

from capturestation.capture.lean import _unchanged

SAID = """\
55d0a000-55d0c000 r-xp 00000000 fe:00 7                                  /lib/python
Rss:                   8 kB
Anonymous:             0 kB
55d0c000-55d0d000 r--p 00002000 fe:00 7                                  /lib/with a space
Anonymous:             4 kB
55d0d000-55d0f000 r--p 00002000 fe:00 7                                  /lib/with a space
Anonymous:             0 kB
VmFlags: rd mr mw me
55d0f000-55d10000 rw-p 00003000 fe:00 7                                  /lib/python
Anonymous:             0 kB
55d10000-55d20000 r--p 00000000 00:00 0
Anonymous:             0 kB
55d20000-55d30000 r-xs 00000000 fe:00 7                                  /lib/shared
Anonymous:             0 kB
7fff0000-7fff1000 r-xp 00000000 00:00 0                                  [vdso]
Anonymous:             0 kB
"""
PROGRAM = """
from pathlib import Path
import cv2
import numpy as np
from capturestation.capture.lean import let_go_of_beginnings

def held():
    return int(Path("/proc/self/statm").read_text().split()[1])

before = held()
let_go_of_beginnings()
after = held()
picture = cv2.resize(np.arange(64, dtype=np.uint8).reshape(8, 8), (4, 4))
print(before > after, picture.shape)
"""


def test_only_what_cannot_have_changed_is_given_back() -> None:
    given = [(begin - 0x55D00000, end - 0x55D00000) for begin, end in _unchanged(SAID)]

    assert given == [(0xA000, 0xC000), (0xD000, 0xF000)]


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux says what a process holds")
def test_a_process_holds_less_and_goes_on() -> None:
    done = subprocess.run(
        (sys.executable, "-c", PROGRAM), capture_output=True, text=True, check=True, timeout=120
    )

    assert done.stdout.split() == ["True", "(4,", "4)"]
