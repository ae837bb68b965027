"""The Bay's words: every sign, trouble and hint has some."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

import capturestation.station.bay as station_bay
from capturestation.station.bay.balls import Ball, Stage
from capturestation.station.bay.bay import Mode
from capturestation.station.bay.standing import Level, Sign
from capturestation.ui.bay.wording import ball_words, room_words, sign_words, size_words, what_to_do
from capturestation.ui.texts import texts

FOLDER = Path(station_bay.__path__[0])
SOURCE = "\n".join(
    (FOLDER / name).read_text(encoding="utf-8") for name in ("standing.py", "check.py")
)
SIGNS = sorted(set(re.findall(r'(?:what=|, )"([a-z_.]+)", (?:level=)?Level', SOURCE)))
TROUBLES = re.findall(r'(?:what=|, )"([a-z_]+)", (?:level=)?Level\.(?:BAD|LOOK)', SOURCE)
VALUES: dict[str, object] = {
    "view": "face-on",
    "rate": "90",
    "asked": "120",
    "missing": 3,
    "seconds": "4",
    "ms": "1.2",
    "hours": 0.4,
    "balls": 20,
}


@pytest.mark.parametrize("what", SIGNS)
def test_every_sign_has_words(what: str) -> None:
    words = sign_words(Sign(what=what, level=Level.WELL, values=VALUES))

    assert words.startswith("●\N{NO-BREAK SPACE}")
    assert "{" not in words


@pytest.mark.parametrize("what", TROUBLES)
def test_everything_that_is_not_well_says_what_to_do(what: str) -> None:
    assert what_to_do(Sign(what=what, level=Level.BAD, values=VALUES)).endswith(".")
    if "awaited" not in what and not what.startswith("check."):
        assert f"bay.trouble.{what}" in texts()


@pytest.mark.parametrize("mode", Mode)
def test_every_way_it_stands_has_a_line_and_a_button(mode: Mode) -> None:
    assert f"bay.line.{mode.name.lower()}" in texts()
    assert f"bay.button.{mode.name.lower()}" in texts()


@pytest.mark.parametrize(
    ("hours", "words"), [(60.0, "2 days"), (7.6, "7 hours"), (0.5, "30 minutes")]
)
def test_the_room_is_said_in_fitting_words(hours: float, words: str) -> None:
    assert room_words(hours, 9) == f"Disk: {words} left, 9 balls"


def test_the_last_ball_says_what_has_become_of_it() -> None:
    at = datetime(2026, 10, 30, tzinfo=UTC)
    ends = {
        stage: ball_words(Ball(id="a", struck_at=at, stage=stage)).split(", ")[1:]
        for stage in (Stage.STRUCK, Stage.KEPT, Stage.TAKEN, Stage.LEFT)
    }

    assert ends == {
        Stage.STRUCK: ["being kept"],
        Stage.KEPT: ["on its way into the lesson"],
        Stage.TAKEN: [],
        Stage.LEFT: ["left in the inbox"],
    }


def test_sizes_are_in_the_unit_that_is_read() -> None:
    assert [size_words(size) for size in (3_000_000, 999_000_000, 1_500_000_000)] == [
        "3 MB",
        "999 MB",
        "1.5 GB",
    ]
