from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest

from tests.cli.conftest import Typed

COMPLETE = {"bash": "complete -o nosort", "zsh": "compdef", "fish": "complete --no-files"}


@pytest.mark.parametrize("shell", COMPLETE)
def test_a_shell_gets_its_script(bare: Typed, shell: str) -> None:
    done = bare("completion", shell)

    assert done.code == 0
    assert COMPLETE[shell] in done.out
    assert "_CAPTURESTATION_COMPLETE" in done.out


def test_the_script_for_bash_is_one_that_bash_can_read(bare: Typed) -> None:
    bash = shutil.which("bash")
    assert bash is not None
    script = bare("completion", "bash").out

    read = subprocess.run(
        [bash, "-n"], input=script, capture_output=True, text=True, check=False, timeout=20
    )

    assert (read.returncode, read.stderr) == (0, "")


def test_an_unknown_shell_is_mistyped(bare: Typed) -> None:
    done = bare("completion", "csh")

    assert done.code == 2
    assert "bash" in done.err


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("capturestation sw", "swings"),
        ("capturestation swings add --cl", "--club"),
        ("capturestation marks set latest lead-arm-level-d", "lead-arm-level-down"),
    ],
)
def test_what_was_begun_is_completed(line: str, offered: str) -> None:
    words = {"COMP_WORDS": line, "COMP_CWORD": str(len(line.split()) - 1)}
    env = {**os.environ, **words, "_CAPTURESTATION_COMPLETE": "bash_complete"}

    done = subprocess.run(
        [sys.executable, "-m", "capturestation"],
        env=env,
        capture_output=True,
        text=True,
        check=False,
        timeout=30,
    )

    assert done.returncode == 0, done.stderr
    assert f"plain,{offered}" in done.stdout.splitlines()
