"""The plain confirmer tells a swing from a room where nobody moves."""

from __future__ import annotations

import numpy as np
import pytest

from capturestation.capture.eye import MotionConfirmer
from capturestation.records import View
from capturestation.records.capture import Candidate, Look, Verdict

MS = 1_000_000
CANDIDATE = Candidate(at_host_ns=0, u_ns=50_000, snr_db=30.0, sharpness=0.8, peak=0.3)


def look(view: View, *, moves: bool) -> Look:
    """Half a second of a grey room, with a bright bar that goes through it or stands."""
    rng = np.random.default_rng(1)
    frames = rng.integers(98, 101, (30, 48, 80)).astype(np.uint8)
    for number in range(30):
        left = 2 * number if moves else 20
        frames[number, 10:30, left : left + 6] = 220
    return Look(view=view, host_ns=np.arange(-15, 15) * 16 * MS, greys=frames)


def test_a_sound_while_nobody_moves_is_no_ball() -> None:
    said = MotionConfirmer().confirm(CANDIDATE, [look(View.FACE_ON, moves=False)])

    assert said.verdict is Verdict.STAYED
    assert said.said == "Nothing moves in the face-on picture."


def test_a_sound_while_somebody_moves_may_be_one() -> None:
    looks = [look(View.FACE_ON, moves=False), look(View.DOWN_THE_LINE, moves=True)]

    assert MotionConfirmer().confirm(CANDIDATE, looks).verdict is Verdict.UNCLEAR


def test_without_a_picture_nothing_can_be_told() -> None:
    assert MotionConfirmer().confirm(CANDIDATE, []).verdict is Verdict.UNCLEAR


def test_frames_without_their_times_are_refused() -> None:
    with pytest.raises(ValueError, match=r"\(3,\) \(2, 4, 4\)"):
        Look(
            view=View.FACE_ON,
            host_ns=np.zeros(3, np.int64),
            greys=np.zeros((2, 4, 4), np.uint8),
        )
