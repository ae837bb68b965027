"""Killed while a working copy is made: what is half is never looked at, and goes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from capturestation.records import View
from capturestation.station.looking import Looking
from tests.helpers.coded_media import read_code
from tests.helpers.killed_import import ROOT
from tests.helpers.looked_at import room
from tests.helpers.station_library import Filled


@pytest.mark.process
def test_half_a_copy_is_never_looked_at(filled: Filled, tmp_path: Path) -> None:
    words = [str(filled.folder), str(tmp_path / "caches"), filled.today.id]
    with subprocess.Popen(
        [sys.executable, "-m", "tests.journeys.killed_looking", *words],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "half\n"
        process.kill()

    with room(filled, tmp_path / "caches") as opened:
        half = [path for path in opened.cache.root.rglob("*") if path.is_file()]
        assert [path.name.endswith(".partial") for path in half] == [True]
        os.utime(half[0], (1_000, 1_000))
        with Looking(opened.library, opened.cache) as looking:
            assert opened.names() == []
            with looking.open(filled.today.id) as swing:
                looking._maker._worker.submit(int).result(timeout=30)
                angle = swing.angles[View.FACE_ON]
                assert angle.is_copy
                assert read_code(angle.frame_rgb(len(angle) - 1)) == len(angle) - 1
        assert len(opened.names()) == 2
