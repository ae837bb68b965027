"""Which frame is shown at a time.

Owns the choice between a recording's stamps. Refuses to compute a time from a frame's number: files
whose rate varies, or whose header lies, are common.
"""

from __future__ import annotations

import numpy as np

from capturestation.records import IntArray


def nearest_frame(times_ns: IntArray, at_ns: IntArray) -> IntArray:
    """The frame that stands nearest to each time; of two equally near, the earlier.

    Args:
        times_ns: (n,) frame times, rising, at least one.
        at_ns: (m,) times asked for, the same clock.

    Returns:
        (m,) ordinals, 0..n-1; the first or last frame for times beyond the ends.

    Raises:
        ValueError: If there is no frame, or the times don't rise.

    Example:
        >>> nearest_frame(np.array([0, 10, 20]), np.array([-4, 4, 5, 6, 99]))
        array([0, 0, 0, 1, 2])
    """
    if times_ns.ndim != 1 or len(times_ns) == 0:
        msg = f"frame times must be (n,) with n > 0, got {times_ns.shape}"
        raise ValueError(msg)
    if np.any(np.diff(times_ns) <= 0):
        msg = f"frame {int(np.argmax(np.diff(times_ns) <= 0)) + 1} isn't later than the one before"
        raise ValueError(msg)
    after = np.clip(np.searchsorted(times_ns, at_ns), 1, max(len(times_ns) - 1, 1))
    if len(times_ns) == 1:
        return np.zeros(len(at_ns), dtype=np.int64)
    nearer_before = at_ns - times_ns[after - 1] <= times_ns[after] - at_ns
    chosen: IntArray = (after - nearer_before).astype(np.int64)
    return chosen


def middle_of_row(stamp_ns: int, row_share: float, readout_ns: int) -> int:
    """When the middle of a row's exposure was, if `stamp_ns` is that of the top row.

    Args:
        stamp_ns: Middle of the top row's exposure.
        row_share: 0 for the top row, 1 for the bottom one.
        readout_ns: From reading the top row to reading the bottom one.

    Example:
        >>> middle_of_row(1_000_000, 0.75, 16_000_000)
        13000000
    """
    return stamp_ns + round(row_share * readout_ns)
