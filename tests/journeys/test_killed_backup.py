"""Killed at any step, a back-up leaves a copy that can be restored, and the library untouched."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.helpers.killed_backup import broken_backups, count_backup_steps, made_backed

KILLS = 6


@pytest.fixture(scope="module")
def steps(tmp_path_factory: pytest.TempPathFactory) -> int:
    """How many steps the whole back-up takes."""
    return count_backup_steps(tmp_path_factory.mktemp("whole"))


@pytest.mark.process
@pytest.mark.parametrize("part", range(KILLS))
def test_a_killed_backup_loses_nothing(steps: int, part: int, tmp_path: Path) -> None:
    last = random.randint(1 + part * steps // KILLS, (part + 1) * steps // KILLS)

    assert broken_backups(made_backed(tmp_path), last) == (), f"killed at step {last} of {steps}"
