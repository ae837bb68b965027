"""A quick look at a ball just struck, before all of it is there to keep.

Owns short files that nothing rests on: not hashed, not flushed, without sound, since what is played
back must not be heard as a strike.
"""

from __future__ import annotations

from collections.abc import Sequence

from capturestation.capture.inbox import Inbox
from capturestation.capture.messages import LookAt, LookReady
from capturestation.capture.part import Part
from capturestation.capture.strike import Strike

LOOK_BEFORE_NS = 2_000_000_000
LOOK_AFTER_NS = 900_000_000
"""Backswing to finish of a full swing."""


def write_look(inbox: Inbox, strike: Strike, parts: Sequence[Part]) -> LookReady:
    """Write what is there of a ball, from shortly before it.

    Raises:
        OutputError: If it can't be written.
    """
    folder = inbox.look_folder(strike.id)
    looks = []
    for part in parts:
        if not part.holds_impact:
            continue
        path = folder / part.file
        impact_media_ns = part.write_excerpt(path, strike.at_host_ns - LOOK_BEFORE_NS)
        looks.append(
            LookAt(view=part.setting.view, file=str(path), impact_media_ns=impact_media_ns)
        )
    return LookReady(id=strike.id, looks=tuple(looks))
