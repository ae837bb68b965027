"""`python -m capturestation.capture`: records until its input ends."""

from __future__ import annotations

import os
import sys

from capturestation.capture.bay import plain_senses
from capturestation.capture.process import main

if __name__ == "__main__":
    code = main(plain_senses)
    sys.stderr.flush()
    # A thread that hangs in a driver must not keep a process that has said its last line.
    os._exit(code)
