"""A file that says how it is turned is shown so, and not a byte of its pictures changes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from capturestation.errors import BadInputError
from capturestation.media.frames import FrameReader
from capturestation.media.turned import turn_file
from capturestation.records import FrameArray
from tests.helpers.bay_files import Filmed, bay_file


@pytest.fixture(scope="module")
def filmed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return bay_file(tmp_path_factory.mktemp("turned") / "c.mp4", Filmed(seed=7))


@pytest.fixture
def copy(filmed: Path, tmp_path: Path) -> Path:
    path = tmp_path / "copy.mp4"
    path.write_bytes(filmed.read_bytes())
    return path


def frame(path: Path) -> tuple[FrameArray, int]:
    with FrameReader(path) as reader:
        return reader.frame_rgb(12), len(reader)


@pytest.mark.parametrize("turn_deg", [90, 180, 270])
def test_it_is_shown_turned_clockwise(filmed: Path, copy: Path, turn_deg: int) -> None:
    turn_file(copy, turn_deg)

    (before, frames), (after, still) = frame(filmed), frame(copy)
    assert still == frames
    assert np.array_equal(after, np.rot90(before, -(turn_deg // 90)))


def test_nothing_but_the_matrix_changes_and_turns_add_up(filmed: Path, copy: Path) -> None:
    turn_file(copy, 90)
    changed = np.flatnonzero(
        np.frombuffer(copy.read_bytes(), np.uint8) != np.frombuffer(filmed.read_bytes(), np.uint8)
    )
    turn_file(copy, 270)

    assert 0 < np.ptp(changed) < 36
    assert copy.read_bytes() == filmed.read_bytes()


@pytest.mark.parametrize("content", [b"", b"RIFF....AVI LIST", b"\x00\x00\x00\x08moov"])
def test_another_kind_of_file_is_refused_and_stays(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "other.avi"
    path.write_bytes(content)

    with pytest.raises(BadInputError, match="can't be turned"):
        turn_file(path, 90)

    assert path.read_bytes() == content
