"""The inbox tells what was struck and not kept, once, whoever was killed."""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from capturestation.capture.inbox import Inbox
from capturestation.errors import OutputError

WHEN = datetime(2026, 10, 30, 9, 0, 5, tzinfo=UTC)
_KILLED = """
import os, sys
from datetime import datetime, UTC
from pathlib import Path
from capturestation.capture.inbox import Inbox
inbox = Inbox(Path(sys.argv[1]))
inbox.claim("ball", datetime(2026, 10, 30, 9, 0, 5, tzinfo=UTC))
(inbox.folder / "ball.partial").mkdir()
(inbox.folder / "ball.partial" / "face-on.mp4").write_bytes(b"begun")
if sys.argv[2] == "finished":
    (inbox.folder / "ball.partial").rename(inbox.folder / "ball")
os._exit(9)
"""


def killed_in(folder: Path, when: str) -> None:
    """Let a process die in the middle of keeping a ball."""
    command = [sys.executable, "-c", _KILLED, str(folder), when]
    done = subprocess.run(command, check=False, timeout=30)
    assert done.returncode == 9


def names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if not path.name.endswith(".recorder")}


def test_a_ball_of_a_process_that_was_killed_is_lost_once(tmp_path: Path) -> None:
    killed_in(tmp_path, "writing")
    first, second = Inbox(tmp_path), Inbox(tmp_path)

    lost = [*first.sweep(), *second.sweep(), *first.sweep()]

    assert [(claim.id, claim.struck_at) for claim in lost] == [("ball", WHEN)]
    assert names(tmp_path) == set()
    first.leave()
    second.leave()
    assert list(tmp_path.iterdir()) == []


def test_a_ball_that_was_finished_before_the_end_is_kept(tmp_path: Path) -> None:
    killed_in(tmp_path, "finished")
    inbox = Inbox(tmp_path)

    assert inbox.sweep() == ()
    assert names(tmp_path) == {"ball"}
    inbox.leave()


def test_what_a_living_process_is_keeping_is_left_alone(tmp_path: Path) -> None:
    at_work, other = Inbox(tmp_path), Inbox(tmp_path)
    at_work.claim("ball", WHEN)
    (tmp_path / "ball.partial").mkdir()

    lost = other.sweep()

    assert lost == ()
    assert names(tmp_path) == {"ball.partial", ".ball.struck"}
    at_work.leave()
    assert [claim.id for claim in other.sweep()] == ["ball"]
    other.leave()


def test_a_damaged_claim_stops_nobody(tmp_path: Path) -> None:
    (tmp_path / ".ball.struck").write_text("{", encoding="utf-8")
    inbox = Inbox(tmp_path)

    assert inbox.sweep() == ()
    assert names(tmp_path) == set()
    inbox.leave()


def test_quick_looks_are_kept_of_the_last_two_balls_only(tmp_path: Path) -> None:
    inbox = Inbox(tmp_path)

    folders = [inbox.look_folder(f"ball-{n}") for n in range(4)]

    assert [folder.is_dir() for folder in folders] == [False, False, True, True]
    inbox.leave()
    assert list(tmp_path.iterdir()) == []


def test_only_a_ball_that_is_there_can_be_dropped(tmp_path: Path) -> None:
    inbox = Inbox(tmp_path)
    (tmp_path / "ball").mkdir()

    inbox.drop("ball")
    with pytest.raises(OutputError, match="not in the inbox"):
        inbox.drop("ball")

    assert names(tmp_path) == set()
    inbox.leave()
