"""A source's clock against this computer's, while its packets come.

Owns which arrivals are remembered: of each second the quickest, for ten minutes, so that memory and
work are bounded and lateness is not. Begins anew when the source's clock was set.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import replace

import numpy as np

from capturestation.records import NS_PER_S
from capturestation.records.capture import ClockFit
from capturestation.timing.clock import STEP_NS, fit_clock

_BUCKET_NS = NS_PER_S
_BUCKETS = 600
_AT_ONCE = 3
# So early each better stamp counts; later the line is drawn anew once a second.
_RECENT = 512
# Four seconds at 120 a second: how late packets are is said of these.
_PATIENCE_NS = 3 * NS_PER_S
# What was held by a stalled network is on time again by then.


class SourceClock:
    """Arrivals of one source as long as it is connected.

    Args:
        own: Whether its stamps are its own; else they are arrivals, and there is nothing to fit.
    """

    def __init__(self, *, own: bool) -> None:
        self._own = own
        self._lock = threading.Lock()
        self._buckets: deque[tuple[int, int]] = deque(maxlen=_BUCKETS)
        self._recent: deque[tuple[int, int]] = deque(maxlen=_RECENT)
        self._fit: ClockFit | None = None
        self._late_since_ns: int | None = None
        self.steps = 0

    def add(self, device_ns: int, host_ns: int) -> None:
        """Remember a stamp and when it came."""
        with self._lock:
            if self._own and self._fit is not None and self._stepped(device_ns, host_ns):
                self._buckets.clear()
                self._recent.clear()
                self._fit = None
                self._late_since_ns = None
                self.steps += 1
            self._recent.append((device_ns, host_ns))
            if self._own:
                self._remember(device_ns, host_ns)
            elif self._fit is None:
                self._fit = _same_clock(device_ns)

    def _stepped(self, device_ns: int, host_ns: int) -> bool:
        """Whether the source's clock was set: a stamp too early, or all of them long too late."""
        assert self._fit is not None
        late_ns = host_ns - self._fit.host_ns(device_ns)
        if late_ns <= STEP_NS:
            self._late_since_ns = None
            return late_ns < -STEP_NS
        if self._late_since_ns is None:
            self._late_since_ns = host_ns
        return host_ns - self._late_since_ns > _PATIENCE_NS

    def _remember(self, device_ns: int, host_ns: int) -> None:
        last = self._buckets[-1] if self._buckets else None
        if last is None or device_ns // _BUCKET_NS > last[0] // _BUCKET_NS:
            self._buckets.append((device_ns, host_ns))
        elif host_ns - device_ns < last[1] - last[0]:
            self._buckets[-1] = (device_ns, host_ns)
            if len(self._buckets) > _AT_ONCE:
                return
        else:
            return
        self._fit = _fitted(self._buckets)

    def line(self) -> ClockFit:
        """The line as known so far; how late packets are may be some seconds old.

        Raises:
            ValueError: If nothing came yet.
        """
        with self._lock:
            if self._fit is not None:
                return self._fit
        return self.fit()

    def fit(self) -> ClockFit:
        """The line as known so far, and how late packets are against it.

        Raises:
            ValueError: If nothing came yet.
        """
        with self._lock:
            recent = list(self._recent)
            fit = self._fit
        if fit is None:
            msg = "nothing came from this source yet"
            raise ValueError(msg)
        late = [host - fit.host_ns(device) for device, host in recent]
        return replace(fit, late_p95_ns=max(round(float(np.quantile(late, 0.95))), 0))

    def stood(self) -> tuple[int, ClockFit]:
        """How often it was set, and the line since then.

        Raises:
            ValueError: If nothing came yet.
        """
        with self._lock:
            if self._fit is not None:
                return self.steps, self._fit
        return self.steps, self.fit()


class ClockHeld:
    """A clock as whatever happened under it needs it: better known with time, but never set.

    What is in progress when a source's clock is set, or seems so because all comes seconds late,
    has its stamps and its time by the clock before that.

    Args:
        clock: The clock, of which something came.
    """

    def __init__(self, clock: SourceClock) -> None:
        self._clock = clock
        self._steps, self._fit = clock.stood()

    def line(self) -> ClockFit:
        """The line as known by now, or as it was last known before the clock was set."""
        steps, fit = self._clock.stood()
        if steps == self._steps:
            self._fit = fit
        return self._fit

    def fit(self) -> ClockFit:
        """The same, with how late packets are, where that can still be said."""
        line, told = self.line(), self._clock.fit()
        return replace(line, late_p95_ns=told.late_p95_ns) if self.is_standing else line

    @property
    def is_standing(self) -> bool:
        """Whether it was not set since."""
        return self._clock.steps == self._steps


def _fitted(points: deque[tuple[int, int]]) -> ClockFit:
    both = np.array(points, np.int64)
    order = np.argsort(both[:, 0], kind="stable")
    return fit_clock(both[order, 0], both[order, 1])


def _same_clock(at_ns: int) -> ClockFit:
    return ClockFit(
        at_device_ns=at_ns,
        host_minus_device_ns=0,
        drift_ppm=0.0,
        late_p95_ns=0,
        span_ns=0,
        points=0,
    )
