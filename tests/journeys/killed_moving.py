"""A process that restores or moves a library and kills itself at the step that it was told.

Told 0 it ends with the count of all steps.
"""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import relocate, restore
from capturestation.records import Quiet
from tests.journeys.killed_library import Steps

WAYS = {"restore": restore, "relocate": relocate}

if __name__ == "__main__":
    counted = Steps(int(sys.argv[4]))
    sys.addaudithook(counted.audit)
    counted.watch_flushes()
    counted.counting = True
    WAYS[sys.argv[1]](Path(sys.argv[2]), Path(sys.argv[3]), Quiet())
    counted.counting = False
    sys.stdout.write(str(counted.done))
