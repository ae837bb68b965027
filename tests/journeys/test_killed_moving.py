"""Killed at any step, restoring and moving lose nothing and can be done again."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.helpers.killed_moving import Way, broken_moving, count_moving_steps, made_movable

KILLS = 2


@pytest.mark.process
@pytest.mark.parametrize("way", ["restore", "relocate"])
def test_killed_at_any_step_nothing_is_lost_and_it_can_be_done_again(
    way: Way, tmp_path: Path
) -> None:
    steps = count_moving_steps(way, tmp_path / "whole")
    lasts = [
        random.randint(1 + part * steps // KILLS, (part + 1) * steps // KILLS)
        for part in range(KILLS)
    ]

    broken = {last: broken_moving(way, made_movable(tmp_path / str(last)), last) for last in lasts}

    assert {last: found for last, found in broken.items() if found} == {}, f"of {steps} steps"
