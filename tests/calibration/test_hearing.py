"""Who waits hears each round, may stop it there, and hears nothing of another's work."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from calibration.bay import calibrate_bay
from calibration.boards import LENS_BOARD
from calibration.hearing import heard_by, round_done
from calibration.lens import calibrate_lens
from calibration.sticks import calibrate_sticks
from tests.calibration.test_sticks import MADE, MARKED
from tests.helpers.seen_boards import before_lens, lens_views, setting_of

VIEWS = lens_views(before_lens(), LENS_BOARD, 12, np.random.default_rng(3))
PLACES = MADE.places(np.random.default_rng(1))
WORK = {
    "lens": lambda: calibrate_lens(VIEWS, setting_of(before_lens())),
    "bay": lambda: calibrate_bay(PLACES, MADE.lenses),
    "sticks": lambda: calibrate_sticks(MARKED, MADE.lenses),
}


class GoneError(Exception):
    """Whoever waited went away."""


@pytest.mark.parametrize("what", WORK)
def test_rounds_are_heard_and_it_ends_at_the_one_at_which_nobody_waits_any_more(what: str) -> None:
    rounds = []

    def listens() -> None:
        rounds.append(what)
        if len(rounds) == 3:
            raise GoneError

    with pytest.raises(GoneError), heard_by(listens):
        WORK[what]()

    assert len(rounds) == 3


def test_what_another_thread_works_out_is_not_heard() -> None:
    heard = []

    with heard_by(lambda: heard.append(1)):
        other = threading.Thread(target=round_done)
        other.start()
        other.join()
        round_done()
    round_done()

    assert heard == [1]
