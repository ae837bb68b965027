"""Rendering by command."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from capturestation.errors import CancelledError
from capturestation.records import StopAfter, View
from sample_sessions.__main__ import main
from sample_sessions.film import render_shot, shot_of
from sample_sessions.session import load_session


def test_help_names_every_option() -> None:
    result = CliRunner().invoke(main, ["--help"])

    assert result.exit_code == 0
    for option in ("--out", "--only", "--frames", "--fresh", "--json"):
        assert option in result.output


def test_an_unknown_swing_ends_with_the_code_for_not_found(tmp_path: Path) -> None:
    result = CliRunner().invoke(main, ["--out", str(tmp_path / "o"), "--only", "nobody"])

    assert result.exit_code == 4
    assert "today-1" in result.stderr
    assert not (tmp_path / "o").exists()


def test_a_folder_that_cant_be_made_ends_with_the_code_for_output(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")

    result = CliRunner().invoke(main, ["--out", str(tmp_path / "file" / "o")])

    assert result.exit_code == 6
    assert (tmp_path / "file").read_text(encoding="utf-8") == "in the way"


@pytest.mark.slow
def test_a_trial_writes_both_views_with_their_truth_and_keeps_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    out = tmp_path / "out"

    result = CliRunner().invoke(
        main, ["--out", str(out), "--only", "today-1", "--frames", "2", "--json"]
    )

    assert result.exit_code == 0
    clips = sorted(path.name for path in out.iterdir())
    stem = [f"today-1.{view}" for view in ("down-the-line", "face-on")]
    assert clips == sorted([f"{s}.mp4" for s in stem] + [f"{s}.truth.json" for s in stem])
    assert len(json.loads(result.stdout)["clips"]) == 2
    assert sorted(p.name for p in (tmp_path / "cache").rglob("*.mp4")) == clips[::2]


def test_a_stopped_clip_leaves_nothing_behind(tmp_path: Path) -> None:
    swing = load_session().swing("today-1")

    with pytest.raises(CancelledError):
        render_shot(shot_of(swing, View.FACE_ON, frames=20), tmp_path, StopAfter(0.3))
    assert list(tmp_path.iterdir()) == []
