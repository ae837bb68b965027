"""The invented bay: today's invented balls, struck again and again, as two cameras would send them.

It is for looking around without a camera, and nothing else.
"""

from __future__ import annotations

from functools import cache

from capturestation.records import NS_PER_S, View
from capturestation.records.capture import Replay, ReplayPiece, SourceKind, SourceSetting
from sample_sessions.session import VIEWS, SampleSwing, load_session

FIRST_S = 6.0
"""The first ball is struck so long after the beginning: whoever looks on has found the pictures."""
EVERY_S = 14.0
_BALLS = 60


@cache
def demo_cameras() -> tuple[SourceSetting, ...]:
    """Its two cameras."""
    session = load_session()
    swings = session.lessons[-1].swings
    cameras = []
    for view in VIEWS:
        contacts_s = {swing.name: _contact_s(swing, view) for swing in swings}
        pieces = []
        for number in range(_BALLS):
            swing = swings[number % len(swings)]
            at_s = FIRST_S + number * EVERY_S - contacts_s[swing.name]
            pieces.append(ReplayPiece(file=str(swing.clip(view)), at_s=at_s))
        cameras.append(
            SourceSetting(
                view=view,
                kind=SourceKind.REPLAY,
                camera=session.camera_names[view],
                replay=Replay(pieces=tuple(pieces)),
            )
        )
    return tuple(cameras)


def _contact_s(swing: SampleSwing, view: View) -> float:
    heard_ns = swing.truth(view).contact_sound_media_ns
    assert heard_ns is not None
    return heard_ns / NS_PER_S
