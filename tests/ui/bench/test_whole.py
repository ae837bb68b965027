"""What the whole Bench keeps from one window to the next."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from capturestation.library import Library
from capturestation.station.cache import cache_of
from capturestation.station.undo import UndoList
from capturestation.ui.bench.whole import Bench
from capturestation.ui.look import Look
from capturestation.ui.work import Workers


@pytest.fixture
def bench(qtbot: QtBot, library: Library, steps: UndoList, tmp_path: Path) -> Iterator[Bench]:
    workers = Workers()
    made = Bench(library, workers, Look(), steps, cache=cache_of(library, tmp_path / "cache"))
    qtbot.addWidget(made)
    yield made
    made.let_go()
    workers.close()


def test_the_shared_folder_is_chosen_once_and_takes_the_next_clip_with_one_press(
    bench: Bench, tmp_path: Path
) -> None:
    folder, hand_on = tmp_path / "shared with students", bench.tools.send.hand_on
    at_first = bench.kept()

    bench.restore({"folder": str(folder)})
    hand_on.show_files((tmp_path / "a.mp4",), bench.tools.sending.folder)

    assert "folder" not in at_first
    assert bench.kept()["folder"] == str(folder)
    assert hand_on.save.text() == "Save in “shared with students”"
