"""A process that copies a library to a drive and kills itself at the step that it was told.

Told 0 it ends with the count of all steps.
"""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library, back_up
from capturestation.records import Quiet
from tests.journeys.killed_library import Steps

if __name__ == "__main__":
    counted = Steps(int(sys.argv[3]))
    sys.addaudithook(counted.audit)
    counted.watch_flushes()
    with Library.open(Path(sys.argv[1])) as library:
        counted.counting = True
        back_up(library.places, Path(sys.argv[2]), Quiet())
        counted.counting = False
    sys.stdout.write(str(counted.done))
