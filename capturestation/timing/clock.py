"""A source's clock against the host's, from when its packets came.

A packet is stamped by the source and comes later, never sooner: delay is one-sided. So the line
lies under the arrivals, as close as it can, and what rises above it is lateness.
"""

from __future__ import annotations

import numpy as np

from capturestation.records import FloatArray, IntArray
from capturestation.records.capture import ClockFit

MOST_DRIFT_PPM = 400.0
# Quartz keeps 100 ppm over its temperatures; sources that count rounded milliseconds drift more.
SHORTEST_DRIFT_NS = 20_000_000_000
# Over less, a millisecond of lateness at one end looks like 50 ppm: the rate is taken as equal.
STEP_NS = 250_000_000
# No ordinary lateness of a packet that is on time again with the next.


def fit_clock(device_ns: IntArray, host_ns: IntArray) -> ClockFit:
    """Fit the line that lies under all arrivals and nearest to them.

    Of all lines below a set of points, the one with the least mean distance is the edge of their
    lower hull that spans the mean of the device's times.

    Args:
        device_ns: Stamps, (n,), rising, device clock.
        host_ns: When each came, (n,), host clock.

    Returns:
        The line, and how late packets are against it.

    Raises:
        ValueError: If there is no point, or the shapes differ.
    """
    if device_ns.shape != host_ns.shape or device_ns.ndim != 1 or not len(device_ns):
        msg = f"one arrival for each stamp, one or more, got {device_ns.shape} {host_ns.shape}"
        raise ValueError(msg)
    middle = int((int(device_ns[0]) + int(device_ns[-1])) // 2)
    span = int(device_ns[-1]) - int(device_ns[0])
    base = int(host_ns[0]) - int(device_ns[0])
    x = (device_ns - middle).astype(np.float64)
    y = ((host_ns - device_ns) - base).astype(np.float64)
    slope = _slope(x, y) if span >= SHORTEST_DRIFT_NS else 0.0
    above = y - slope * x
    offset = float(above.min())
    return ClockFit(
        at_device_ns=middle,
        host_minus_device_ns=base + round(offset),
        drift_ppm=slope * 1e6,
        late_p95_ns=round(float(np.quantile(above - offset, 0.95))),
        span_ns=span,
        points=len(x),
    )


def _slope(x: FloatArray, y: FloatArray) -> float:
    hull = _lower_hull(x, y)
    mean = float(x.mean())
    right = next((n for n, at in enumerate(hull) if x[at] > mean), len(hull) - 1)
    a, b = hull[max(right - 1, 0)], hull[right]
    if x[a] == x[b]:
        return 0.0
    slope = float((y[b] - y[a]) / (x[b] - x[a]))
    return float(np.clip(slope, -MOST_DRIFT_PPM / 1e6, MOST_DRIFT_PPM / 1e6))


def _lower_hull(x: FloatArray, y: FloatArray) -> list[int]:
    """Places of the points that no other lies below, left to right.

    Source: A. M. Andrew, "Another efficient algorithm for convex hulls in two dimensions",
    Information Processing Letters 9(5), 1979.
    """
    hull: list[int] = []
    for n in range(len(x)):
        while len(hull) > 1:
            a, b = hull[-2], hull[-1]
            if (x[b] - x[a]) * (y[n] - y[a]) > (y[b] - y[a]) * (x[n] - x[a]):
                break
            hull.pop()
        hull.append(n)
    return hull
