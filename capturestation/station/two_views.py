"""How the pictures of both views lie to each other, handed down as plain arrays.

Owns when that counts: both cameras of a swing known well enough for metres, neither moved since.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot

from calibration.epipolar import fundamental, straight_px
from capturestation.records import View
from capturestation.station.in_space import BOTH, READ_OUT_U_NS, bay_of
from capturestation.station.standpoints import Standpoints
from capturestation.swing.both_views import TwoViews
from capturestation.swing.tracks import BodyTrack

_ROWS_APART = 0.2
# Of the picture's height, how far apart one point's rows are in the two views, about.


def two_views(where: Standpoints, tracks: Mapping[View, BodyTrack]) -> TwoViews | None:
    """What the views' places say of their pictures; None where that isn't known.

    Args:
        where: From where the swing was filmed.
        tracks: What was seen, in the recordings' own pixels.
    """
    if not all(view in tracks for view in BOTH) or isinstance(bay_of(where), str):
        return None
    first, second = (where.by_view[view].camera for view in BOTH)
    syncs = [where.swing.sync(view) for view in BOTH]
    clocks_ns = hypot(*(0 if sync is None else sync.u_ns for sync in syncs))
    return TwoViews(
        views=BOTH,
        second_from_first=fundamental(first, second),
        straight_px={
            view: straight_px(where.by_view[view].camera, tracks[view].joints_px) for view in BOTH
        },
        u_ns=hypot(clocks_ns, _ROWS_APART * READ_OUT_U_NS),
    )
