"""Every command, as text and as JSON, on a small real library."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from capturestation.cli.main import root
from tests.cli.conftest import Typed
from tests.helpers.bay_camera import CAMERA
from tests.helpers.bay_files import Filmed, bay_file
from tests.helpers.station_library import NAME, Filled
from tests.project.test_docs import commands


@pytest.fixture
def words(filled: Filled, tmp_path: Path) -> Callable[[str], list[str]]:
    """The whole command line of a command; capitals stand for things that only a test knows."""
    camera = tmp_path / "left webcam.json"
    camera.write_text(json.dumps(CAMERA), encoding="utf-8")
    known = {
        "LESSON": filled.today.book.lesson_id,
        "BEST": filled.best.id,
        "FILE": str(bay_file(tmp_path / "c d.mp4", Filmed(seed=7))),
        "CLIP": str(tmp_path / "for her.mp4"),
        "ZIP": str(tmp_path / "all of her.zip"),
        "CAMERA": str(camera),
        "NAME": NAME,
        "DRIVE": str(tmp_path),
        "DISK": str(tmp_path / "disk" / "lessons"),
        "LAPTOP": str(shutil.copytree(filled.folder, tmp_path / "laptop")),
    }
    return lambda name: [known.get(word, word) for word in f"{name} {COMMANDS[name][0]}".split()]


COMMANDS: dict[str, tuple[str, str]] = {
    "students add": ("Bo --birth-year 1990", "Added Bo"),
    "students list": ("ang", NAME),
    "students show": ("zoe", "born          1980"),
    "students change": ("zoe --limits sore", "limits today  sore"),
    "students consent": ("zoe sharing no --by coach", "sharing: no from student"),
    "students delete": (
        "zoe --everything --yes --name NAME",
        "with 2 swings, 1 lesson and 1 answer.",
    ),
    "students idle": ("--months 600", "Nobody was away for 600 months."),
    "students zip": ("zoe --out ZIP", "2 swings, 1 lesson, "),
    "lessons add": ("zoe --on 2026-11-02", "Lesson of 2026-11-02"),
    "lessons list": ("zoe", "2026-10-30"),
    "lessons summary": ("LESSON", "7 iron, full: 2 swings"),
    "lessons focus": ("LESSON turn", "Lesson of 2026-10-30"),
    "swings add": ("zoe --club driver --face-on FILE", "Next: capturestation star"),
    "swings list": ("zoe", "7 iron"),
    "swings show": ("latest", "contact at 1.29"),
    "swings change": ("latest --rating 4 --start left", "left, 4 of 5"),
    "swings exchange": ("latest", "down-the-line"),
    "swings turn": ("latest face-on --by 270", "back with: capturestation swings restore"),
    "swings golfer": ("latest face-on --box 30,10,60,95", "the golfer is who stands in that box"),
    "swings delete": ("latest", "Back with: capturestation swings restore "),
    "swings restore": ("", "contact at 1.29"),
    "swings trash": ("", "7 iron, full, 2026-10-30"),
    "swings move": ("latest --to-student Bo", "Bo Berg: 7 iron, full"),
    "star": ("latest", "is a best now"),
    "offset": ("latest face-on --contact-at 1.3", "by hand"),
    "marks list": ("latest", "club starts"),
    "marks set": ("latest takeaway --at -0.9", "takeaway"),
    "marks none": ("latest takeaway", "does not occur"),
    "marks clear": ("BEST shaft-level-down", "club starts"),
    "marks find": ("latest", "club starts"),
    "marks carry": ("latest --from BEST", "shaft level, down"),
    "compare": ("", "Beside: own best."),
    "clip": ("--out CLIP --slow 1 --hold 0", "for her.mp4  "),
    "handout": ("--out DISK --slow 1 --hold 0", "30 7 iron beside 2026-10-30.pdf  "),
    "weeks": ("zoe --out DISK", "7 iron, full: 2 swings in 1 measured lesson."),
    "cameras": ("", "Nothing yet."),
    "calibrations add": ("CAMERA --valid-from 2026-10-01", "left webcam"),
    "calibrations list": ("", "Nothing yet."),
    "check": ("", "2 swings, 4 files: all is well."),
    "rebuild": ("", "1 student, 1 lesson, 2 swings"),
    "merge": ("LAPTOP", "Brought in: nothing new. The same on both sides: 4."),
    "models list": ("", "The body model "),
    "analyse": ("", "There is no body model on this computer"),
    "checks list": ("", "pelvis back to square"),
    "checks set": ("finish --off", "finish held"),
    "checks of": ("", "cannot tell"),
    "backup make": ("DRIVE", "2 swings in "),
    "backup list": ("", "No back-up was made yet."),
    "relocate": ("DISK", "The old folder is "),
    "rows": ("", "beside the folders, on a disk of this computer"),
    "completion": ("bash", "capturestation"),
}
BEFORE = {
    "swings restore": ("swings", "delete", "latest"),
    "swings trash": ("swings", "delete", "latest"),
    "swings move": ("students", "add", "Bo Berg", "--birth-year", "1970"),
    "clip": ("students", "consent", "zoe", "sharing", "yes", "--by", "coach"),
    "handout": ("students", "consent", "zoe", "sharing", "yes", "--by", "coach"),
}
"""What has to be done for it to have something to do."""
ELSEWHERE = {
    "window", "demo", "record", "doctor", "backup restore", "models fetch", "checks stick",
    "desktop add", "desktop remove",
}  # fmt: skip
"""The demo takes half a minute: run from a built wheel, as text and JSON, and by its benchmark.
The window, recording, the doctor, the stick and the desktop's entry have their own tests."""
MEASURING = {
    f"calibrations {name}"
    for name in ("withdraw", "board", "lens", "bay", "sticks", "expect", "check", "line")
}
"""Tried in `test_calibrations`, `test_measuring` and `test_bay_checks`."""
TEXT_ONLY = {"completion"}


def test_every_command_is_tried_here() -> None:
    assert set(COMMANDS) | ELSEWHERE | MEASURING == set(commands(root))


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_says_in_text_what_it_did(
    typed: Typed, words: Callable[[str], list[str]], name: str
) -> None:
    typed(*BEFORE.get(name, ("check",)))

    done = typed(*words(name))

    assert (done.code, done.err) == (0, "")
    assert COMMANDS[name][1] in done.out


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("name", sorted(set(COMMANDS) - TEXT_ONLY))
def test_a_command_says_one_json_value_and_nothing_else(
    typed: Typed, words: Callable[[str], list[str]], name: str
) -> None:
    typed(*BEFORE.get(name, ("check",)))

    done = typed(*words(name), "--json")

    assert (done.code, done.err) == (0, "")
    assert isinstance(done.value, dict | list)
