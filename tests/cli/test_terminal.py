"""What is typed and can't be meant, and what is at the other end of the output."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Typed
from tests.helpers.killed_import import ROOT
from tests.helpers.station_library import Filled, everything_in

NO_TEXT = "caf\udce9"
"""A word in an encoding of another time, as the system hands it over."""
NEVER_MEANT: dict[str, list[str]] = {
    "a name that is no text": ["students", "add", NO_TEXT],
    "a search that is no text": ["students", "list", NO_TEXT],
    "an option that is no text": ["students", "change", "zoe", "--notes", NO_TEXT],
    "words that are no text": ["lessons", "focus", "latest", "turn", NO_TEXT],
    "a command that is no text": [NO_TEXT],
    "a year before all clocks": ["lessons", "add", "zoe", "--on", "0001-01-01"],
    "a strike in that year": [
        *["swings", "add", "zoe", "--club", "7 iron", "--face-on", "a.mp4"],
        *["--struck-at", "0001-01-01"],
    ],
    "a year after us": ["calibrations", "add", "a.json", "--valid-from", "9999-12-31"],
    "a library without a name": ["students", "list", "--library", ""],
    "a clip without a name": ["clip", "--out", ""],
    "a clip that is this folder": ["clip", "--out", "."],
    "a clip of another kind": ["clip", "--out", "clip.gif"],
}


@pytest.mark.parametrize("case", NEVER_MEANT)
def test_what_can_t_be_meant_exits_with_two_and_changes_nothing(
    typed: Typed, filled: Filled, case: str
) -> None:
    before = everything_in(filled.folder)

    done = typed(*NEVER_MEANT[case], "--json")

    assert done.code == 2
    assert isinstance(done.value, dict)
    assert done.value["error"] == "UsageError"
    assert everything_in(filled.folder) == before


@pytest.mark.parametrize("name", ["Zoe\nBo", "Zoe\x1b[2J", "Zoe\u2028"])
@pytest.mark.parametrize(
    "words",
    [
        ["students", "add"],
        ["students", "change", "zoe", "--name"],
        ["swings", "change", "latest", "--club"],
        ["swings", "add", "zoe", "--face-on", "a.mp4", "--club"],
    ],
)
def test_a_control_sign_in_a_name_is_refused(
    typed: Typed, filled: Filled, words: list[str], name: str
) -> None:
    before = everything_in(filled.folder)

    done = typed(*words, name)

    assert done.code == 3
    assert "control character" in done.err
    assert "\x1b" not in done.err
    assert everything_in(filled.folder) == before


@pytest.mark.parametrize("length", [300, 5_000])
@pytest.mark.parametrize("words", [["students", "list"], ["students", "add", "Bo"], ["rebuild"]])
def test_a_library_s_name_that_no_disk_can_hold_is_a_sentence(
    bare: Typed, tmp_path: Path, words: list[str], length: int
) -> None:
    done = bare(*words, "--library", tmp_path / ("x" * length))

    assert done.code == 7
    assert "can't be a library's folder" in done.err


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("name", [f"{NO_TEXT}.mp4", "10:30.mp4"])
def test_a_clip_may_have_a_name_that_is_no_text_or_looks_like_an_address(
    typed: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.chdir(tmp_path)
    typed("students", "consent", "zoe", "sharing", "yes", "--by", "coach")

    done = typed("clip", "--out", name, "--slow", "1", "--hold", "0", "--json")

    assert done.code == 0, done.err
    assert isinstance(done.value, dict)
    assert Path(str(done.value["path"])).name == name
    assert (tmp_path / name).stat().st_size > 0


@pytest.mark.usefixtures("qapp")
def test_a_clip_never_takes_the_place_of_a_recording(
    typed: Typed, filled: Filled, tmp_path: Path
) -> None:
    kept = next(filled.folder.rglob("face-on.mp4"))
    before = kept.read_bytes()
    link = tmp_path / "link.mp4"
    link.symlink_to(kept)

    for out in (kept, link):
        done = typed("clip", "--out", out, "--replace")

        assert done.code == 6
        assert "lies inside the library" in done.err
    assert kept.read_bytes() == before


def test_a_rebuild_that_leaves_a_swing_out_exits_with_seven(typed: Typed, filled: Filled) -> None:
    next(filled.folder.rglob("swing.json")).write_text("cut", encoding="utf-8")

    done = typed("rebuild")

    assert done.code == 7
    assert "left alone, can't be understood" in done.out


def test_a_rebuild_that_leaves_out_only_what_was_deleted_is_well(
    typed: Typed, filled: Filled
) -> None:
    typed("swings", "delete", "latest", "--for-good", "--yes")
    assert typed("rebuild").code == 0


def command(library: Path, *words: str) -> tuple[list[str], dict[str, str]]:
    """A command in a process of its own."""
    env = {**os.environ, "CAPTURESTATION_LIBRARY": str(library)}
    return [sys.executable, "-m", "capturestation", *words], env


@pytest.mark.process
@pytest.mark.parametrize(
    "words", [["students", "list"], ["students", "list", "--json"], ["--help"]]
)
def test_an_answer_that_nobody_reads_ends_quietly(filled: Filled, words: list[str]) -> None:
    line, env = command(filled.folder, *words)
    reading, writing = os.pipe()
    os.close(reading)

    done = subprocess.run(
        line, cwd=ROOT, env=env, stdout=writing, stderr=subprocess.PIPE, text=True, check=False
    )
    os.close(writing)

    assert (done.returncode, done.stderr) == (141, "")


@pytest.mark.process
def test_an_answer_that_finds_no_room_is_told(filled: Filled) -> None:
    line, env = command(filled.folder, "students", "list", "--json")

    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            line, cwd=ROOT, env=env, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )

    assert done.returncode == 6
    assert done.stderr.startswith("The answer could not be printed: the disk is full.")
    assert "Traceback" not in done.stderr


@pytest.mark.process
def test_the_stop_key_while_the_program_loads_is_a_sentence(filled: Filled, tmp_path: Path) -> None:
    # Loaded in the place of the first thing that the commands need.
    pressed = "import os, signal\nos.kill(os.getpid(), signal.SIGINT)\nsignal.pause()\n"
    (tmp_path / "click.py").write_text(pressed, encoding="utf-8")
    line, env = command(filled.folder, "students", "list")
    env["PYTHONPATH"] = str(tmp_path)

    done = subprocess.run(line, cwd=ROOT, env=env, capture_output=True, text=True, check=False)

    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr.splitlines()[0] == "Stopped at your request."
    assert "Traceback" not in done.stderr
