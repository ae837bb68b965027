"""A process that merges one library into another and kills itself at the step that it was told.

Told 0 it ends with the count of all steps.
"""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library, merge_library
from capturestation.records import Quiet
from tests.journeys.killed_library import Steps

if __name__ == "__main__":
    counted = Steps(int(sys.argv[3]))
    sys.addaudithook(counted.audit)
    counted.watch_flushes()
    with Library.open(Path(sys.argv[1])) as library:
        library._db.conn.set_trace_callback(lambda _: counted.take())
        counted.counting = True
        merge_library(library, Path(sys.argv[2]), Quiet())
        counted.counting = False
    sys.stdout.write(str(counted.done))
