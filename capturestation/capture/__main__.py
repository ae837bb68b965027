"""`python -m capturestation.capture`: records until its input ends.

Alone puts together what the recording itself does not know: the eyes that look for ball and swing.
"""

from __future__ import annotations

import os
import sys

from capturestation.capture.bay import Senses
from capturestation.capture.process import main
from capturestation.timing.streaming import StreamingListener
from capturestation.tracking.confirm import BallConfirmer
from capturestation.tracking.swung import SwingSeer


def senses() -> Senses:
    """Ear and eye of a station."""
    return Senses(listener=StreamingListener(), confirmer=BallConfirmer(), mover=SwingSeer())


if __name__ == "__main__":
    code = main(senses)
    sys.stderr.flush()
    # A thread that hangs in a driver must not keep a process that has said its last line.
    os._exit(code)
