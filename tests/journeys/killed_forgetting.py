"""A process that forgets a student and kills itself at the step that it was told.

Told 0 it ends with the count of all steps.
"""

from __future__ import annotations

import sys
from pathlib import Path

from capturestation.library import Library
from capturestation.records import Quiet, StudentId
from capturestation.station.cache import cache_of
from capturestation.station.forgetting import forget
from tests.journeys.killed_library import Steps

if __name__ == "__main__":
    counted = Steps(int(sys.argv[4]))
    sys.addaudithook(counted.audit)
    counted.watch_flushes()
    with Library.open(Path(sys.argv[1])) as library:
        cache = cache_of(library, Path(sys.argv[2]))
        library._db.conn.set_trace_callback(lambda _: counted.take())
        counted.counting = True
        forget(library, cache, StudentId(sys.argv[3]), Quiet())
        counted.counting = False
    sys.stdout.write(str(counted.done))
