"""The import contracts hold, and each would be seen to break."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
BREACHES = {
    "layers": ("capturestation/timing/breach.py", "import capturestation.media"),
    "calibration-alone": ("calibration/breach.py", "import av"),
    "calibration-users": ("capturestation/media/breach.py", "import calibration"),
    "arithmetic": ("capturestation/swing/breach.py", "import pathlib"),
    "av-in-media": ("capturestation/station/breach.py", "import av"),
    "sql-in-library": ("capturestation/cli/breach.py", "import sqlite3"),
    "qt-in-drawing": ("capturestation/station/breach.py", "import PyQt6.QtGui"),
    "demo-only": ("capturestation/library/breach.py", "import sample_sessions"),
    "samples-use-media": ("sample_sessions/breach.py", "import capturestation.timing"),
}


def lint(folder: Path, contract: str | None = None) -> subprocess.CompletedProcess[str]:
    """Check the contracts, or one, on the packages below `folder`."""
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"]
    command += ["--no-cache", *(["--contract", contract] if contract else [])]
    env = {**os.environ, "PYTHONPATH": str(folder)}
    return subprocess.run(
        command, cwd=folder, env=env, capture_output=True, text=True, check=False, timeout=50
    )


def copy_of_project(folder: Path) -> Path:
    """Copy what the contracts read."""
    leave = shutil.ignore_patterns("*.mp4", "__pycache__")
    for package in ("capturestation", "calibration", "sample_sessions"):
        shutil.copytree(ROOT / package, folder / package, ignore=leave)
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def test_every_contract_is_kept() -> None:
    done = lint(ROOT)

    assert done.returncode == 0, done.stdout
    assert f"Contracts: {len(BREACHES)} kept, 0 broken." in done.stdout


@pytest.mark.parametrize("contract", BREACHES)
def test_a_breach_of_a_contract_is_seen(contract: str, tmp_path: Path) -> None:
    folder = copy_of_project(tmp_path)
    file, line = BREACHES[contract]
    (folder / file).write_text(line + "\n", encoding="utf-8")

    done = lint(folder, contract)

    assert done.returncode == 1, done.stdout + done.stderr
    assert "BROKEN" in done.stdout
