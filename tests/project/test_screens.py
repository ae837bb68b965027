"""The pictures of all screens are made: each in both themes, at two sizes of letters and page."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PyQt6.QtGui import QImage

from tests.helpers.station_library import Filled
from tests.screens.__main__ import screens

ROOT = Path(__file__).parents[2]


@pytest.mark.process
def test_a_screen_s_eight_pictures_are_made_and_none_is_empty(
    filled: Filled, tmp_path: Path
) -> None:
    out = tmp_path / "pictures"
    words = [str(out), "--library", str(filled.folder), "--only", "keys"]

    done = subprocess.run(
        [sys.executable, "-m", "tests.screens", *words],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
        timeout=50,
    )
    pictures = {path.name: QImage(str(path)) for path in out.iterdir()}

    assert len(done.stdout.splitlines()) == len(pictures) == 8
    assert "keys-dark-200-1280x720.png" in pictures
    for name, picture in pictures.items():
        assert name.endswith(f"{picture.width()}x{picture.height()}.png")
        assert len({picture.pixel(x, y) for x in range(0, 600, 3) for y in range(0, 400, 3)}) > 8


def test_every_screen_has_a_name_of_its_own() -> None:
    names = [screen.name for screen in screens()]

    assert names
    assert len(set(names)) == len(names)
