"""Training pictures and their truth."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sample_sessions.rings import Colour
from sample_sessions.training.pictures import SHAFT_SPOTS, Row, RowRenderer
from sample_sessions.training.store import HELD_OUT, Job, draw, jobs
from sample_sessions.training.variety import FRAMES, PICTURE_PX, Setting, setting, times_s

MIDDLE = FRAMES // 2
SEED = 1003


def _coloured(chosen: Setting, level: Colour) -> Setting:
    look = replace(chosen.club, grip=level, shaft=(level,) * 6, head=level)
    return replace(chosen, club=look, camera=replace(chosen.camera, exposure_s=0.0004))


@pytest.fixture(scope="module")
def two_colours() -> tuple[Row, Row]:
    """The same row with a black and with a white club."""
    chosen = setting(SEED)
    at_s = float(times_s(chosen, 1)[0])
    dark, bright = (RowRenderer(_coloured(chosen, (v, v, v))) for v in (0, 255))
    return dark.row(at_s), bright.row(at_s)


def test_the_club_is_where_the_truth_says(two_colours: tuple[Row, Row]) -> None:
    dark, bright = two_colours
    differs = np.abs(bright.greys[MIDDLE].astype(float) - dark.greys[MIDDLE]) > 60.0
    seen = dark.shaft_px[MIDDLE][dark.seen[MIDDLE] > 0.0]
    rows, columns = np.nonzero(differs)
    far = np.hypot(seen[:, None, 0] - columns, seen[:, None, 1] - rows)

    assert len(seen) > SHAFT_SPOTS // 2
    # The hands cover the grip itself.
    assert float(np.quantile(far.min(axis=1), 0.8)) < 1.5
    # Nothing but shaft and head changed.
    assert float(np.quantile(far.min(axis=0), 0.8)) < 8.0


def test_the_truth_does_not_depend_on_colours(two_colours: tuple[Row, Row]) -> None:
    dark, bright = two_colours

    assert np.array_equal(dark.shaft_px, bright.shaft_px)
    assert np.array_equal(dark.seen, bright.seen)


def test_a_row_has_the_shapes_that_learning_expects(two_colours: tuple[Row, Row]) -> None:
    row, _ = two_colours

    assert row.greys.shape == (FRAMES, PICTURE_PX, PICTURE_PX)
    assert row.greys.dtype == np.uint8
    assert row.shaft_px.shape == (FRAMES, SHAFT_SPOTS, 2)
    assert row.seen.shape == (FRAMES, SHAFT_SPOTS)
    long_px = np.linalg.norm(row.shaft_px[:, -1] - row.shaft_px[:, 0], axis=1)
    assert np.all(long_px < 1.35 * row.whole_px)


def test_settings_differ_and_repeat() -> None:
    drawn = [setting(seed) for seed in range(40)]

    assert len({s.camera.view for s in drawn}) == 2
    assert len({s.swing.hand for s in drawn}) == 2
    assert len({s.swing.club_name for s in drawn}) == 3
    assert len({s.plain_bay for s in drawn}) == 2
    assert any(s.swing.around.passes_s is not None for s in drawn)
    assert drawn == [setting(seed) for seed in range(40)]
    assert all(s.camera.exposure_s < s.step_s for s in drawn)


def test_seeds_for_testing_are_never_learnt_from(tmp_path: Path) -> None:
    learnt, tested = jobs(tmp_path, 100_000), jobs(tmp_path, 600, held_out=True)

    assert max(job.first_seed for job in learnt) + 1000 < HELD_OUT
    assert min(job.first_seed for job in tested) == HELD_OUT


def test_a_file_that_is_there_is_not_drawn_again(tmp_path: Path) -> None:
    job = Job(folder=tmp_path, first_seed=0)
    job.path.write_bytes(b"there")

    assert draw(job) == job.path
    assert job.path.read_bytes() == b"there"
