"""Rendered clips that are kept."""

from __future__ import annotations

import os
import time
from dataclasses import replace
from pathlib import Path

import pytest

from capturestation.errors import CancelledError, OutputError
from capturestation.records import Quiet, StopAfter, View
from sample_sessions import kept
from sample_sessions.cameras import Placement
from sample_sessions.film import Shot
from sample_sessions.kept import code_version, kept_clip, key_of
from sample_sessions.parameters import SwingParameters
from sample_sessions.truth import load_truth

SHOT = Shot(
    name="trial", view=View.FACE_ON, parameters=SwingParameters(), frames=1,
    placement=Placement(size_share=0.125),
)  # fmt: skip


def test_a_clip_is_rendered_once_and_then_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = kept_clip(SHOT, Quiet(), folder=tmp_path)
    made_ns = first.stat().st_mtime_ns
    monkeypatch.setattr(kept, "render_shot", lambda *_: pytest.fail("rendered again"))

    again = kept_clip(SHOT, Quiet(), folder=tmp_path)

    assert again == first
    assert again.stat().st_mtime_ns == made_ns
    assert load_truth(first.parent / SHOT.truth_name).swing.parameters == SHOT.parameters


@pytest.mark.parametrize(
    "other",
    [
        replace(SHOT, view=View.DOWN_THE_LINE),
        replace(SHOT, parameters=SwingParameters(seed=2)),
        replace(SHOT, placement=Placement(size_share=0.125, roll_deg=0.5)),
    ],
    ids=["view", "seed", "roll"],
)
def test_whatever_decides_a_clip_decides_its_key(other: Shot) -> None:
    assert key_of(other) != key_of(SHOT)
    assert key_of(replace(other)) == key_of(other)


def test_a_stopped_render_leaves_nothing_in_the_cache(tmp_path: Path) -> None:
    with pytest.raises(CancelledError):
        kept_clip(SHOT, StopAfter(0.5), folder=tmp_path)
    assert list((tmp_path / code_version()).iterdir()) == []


def test_who_comes_second_takes_what_the_first_has_put_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / code_version() / key_of(SHOT)

    def meanwhile(shot: Shot, folder: Path, watch: Quiet) -> Path:
        place.mkdir()
        for name in (shot.clip_name, shot.truth_name):
            (place / name).write_text("the first one's", encoding="utf-8")
        (folder / shot.clip_name).write_text("the second one's", encoding="utf-8")
        return folder / shot.clip_name

    monkeypatch.setattr(kept, "render_shot", meanwhile)

    clip = kept_clip(SHOT, Quiet(), folder=tmp_path)

    assert clip.read_text(encoding="utf-8") == "the first one's"
    assert [path.name for path in place.parent.iterdir()] == [place.name]


def test_a_cache_that_cant_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("in the way", encoding="utf-8")

    with pytest.raises(OutputError, match="XDG_CACHE_HOME"):
        kept_clip(SHOT, Quiet(), folder=tmp_path / "cache")
    assert (tmp_path / "cache").read_text(encoding="utf-8") == "in the way"


def test_the_usual_place_follows_xdg(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))

    assert kept.usual_folder() == tmp_path / "capturestation" / "samples"


def test_what_a_killed_run_left_a_day_ago_is_cleared_and_other_versions_stay_two_weeks(
    tmp_path: Path,
) -> None:
    version = tmp_path / code_version()
    ages_days = {version / ".making-old": 2, version / ".making-now": 0,
                 tmp_path / "other": 3, tmp_path / "older": 20}  # fmt: skip
    for folder, days in ages_days.items():
        folder.mkdir(parents=True)
        at_s = time.time() - days * 86_400
        os.utime(folder, (at_s, at_s))

    kept_clip(SHOT, Quiet(), folder=tmp_path)

    assert [folder.is_dir() for folder in ages_days] == [False, True, True, False]
