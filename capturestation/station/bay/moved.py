"""Answers the morning check: does each camera stand where it stood when the bay was measured?

Owns comparing live pictures with the ones that were kept, on a thread of its own: the check asks
twice a second, and gets what was found last.
"""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from datetime import datetime

from calibration.bump import Bump, BumpVerdict
from capturestation.library import Library
from capturestation.records import CalibrationKind, CalibrationRow, FrameArray, View
from capturestation.records.capture import SourceSetting
from capturestation.station.bay.aims import upright_of
from capturestation.station.bay.standing import Level, Sign
from capturestation.station.moved import compared


class LiveMoved:
    """What is known of the cameras of one check; an answer to `check.Moved`.

    Args:
        library: Its calibrations.
        sources: The bay's cameras.
    """

    def __init__(self, library: Library, sources: tuple[SourceSetting, ...]) -> None:
        now = datetime.now().astimezone()
        self._sources = {source.view: source for source in sources}
        self._rows: dict[View, CalibrationRow | None] = {
            source.view: library.calibration_at(source.camera, now) if source.camera else None
            for source in sources
        }
        self._asked: dict[View, Future[Bump | None]] = {}
        self._known: dict[View, Bump | None] = {}
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="moved")

    def __call__(self, view: View, grey: FrameArray) -> Sign:
        """What is known of a camera now; has its newest picture compared."""
        row = self._rows.get(view)
        values: dict[str, object] = {"view": str(view)}
        if row is None:
            return Sign(what="check.moved_unknown", level=Level.LOOK, values=values)
        if row.kind is not CalibrationKind.FULL:
            return Sign(what="check.angles_only", level=Level.WELL, values=values)
        if not row.reference:
            return Sign(what="check.moved_unknown", level=Level.LOOK, values=values)
        self._ask(view, row, grey)
        if view not in self._known:
            return Sign(what="check.moved_looking", level=Level.WELL, values=values)
        return _sign(self._known[view], values)

    def _ask(self, view: View, row: CalibrationRow, grey: FrameArray) -> None:
        asked = self._asked.get(view)
        if asked is not None:
            if not asked.done():
                return
            self._known[view] = asked.result()
        upright = upright_of(grey, self._sources[view].rotation_deg).copy()
        self._asked[view] = self._pool.submit(compared, row, upright)

    def close(self) -> None:
        """End its thread."""
        self._pool.shutdown(wait=True, cancel_futures=True)


def _sign(bump: Bump | None, values: dict[str, object]) -> Sign:
    if bump is None or bump.verdict is BumpVerdict.UNSURE:
        return Sign(what="check.moved_unsure", level=Level.LOOK, values=values)
    if bump.verdict is BumpVerdict.STILL:
        return Sign(what="check.stands", level=Level.WELL, values=values)
    told = values | {"deg": f"{bump.turn_deg:.1f}", "px": f"{bump.shift_px:.0f}"}
    return Sign(what="check.moved", level=Level.BAD, values=told)
