from __future__ import annotations

import json
import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, NotReadableError, StationError
from capturestation.library import Library
from capturestation.station.calibrating import LARGEST_BYTES, keep
from tests.helpers.bay_camera import CAMERA
from tests.helpers.station_library import everything_in

OCTOBER = datetime(2026, 10, 1, tzinfo=UTC)
NOVEMBER = datetime(2026, 11, 1, tzinfo=UTC)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "camera.json"
    path.write_text(json.dumps(CAMERA), encoding="utf-8")
    return path


def test_a_calibration_is_kept_word_by_word_beside_the_earlier_ones(
    library: Library, file: Path
) -> None:
    first = keep(library, file, OCTOBER)
    second = keep(library, file, NOVEMBER)

    assert library.calibrations("left webcam") == (second, first)
    assert second.document == file.read_text(encoding="utf-8")
    assert second.valid_from == NOVEMBER


def test_without_a_day_it_counts_from_now_on(library: Library, file: Path) -> None:
    before = datetime.now(UTC)

    row = keep(library, file)

    assert before <= row.valid_from <= datetime.now(UTC)


BAD: dict[str, tuple[bytes | None, type[StationError]]] = {
    "not there": (None, NotReadableError),
    "no text": (b"\xff\xfe\x00", NotReadableError),
    "no json": (b"{", BadInputError),
    "another document": (b'{"format": "other"}', BadInputError),
    "a mirrored pose": (
        json.dumps(
            {**CAMERA, "world_from_camera_m": [[-1, 0, 0, 0], *CAMERA["world_from_camera_m"][1:]]}
        ).encode(),
        BadInputError,
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_what_is_no_calibration_is_named_and_not_kept(
    library: Library, tmp_path: Path, case: str
) -> None:
    data, kind = BAD[case]
    path = tmp_path / "camera ä.json"
    if data is not None:
        path.write_bytes(data)
    before = everything_in(library.folder)

    with pytest.raises(kind, match=r"camera ä\.json"):
        keep(library, path)

    assert library.calibrations() == ()
    assert everything_in(library.folder) == before


def endless(path: Path) -> None:
    path.symlink_to("/dev/zero")


def pipe(path: Path) -> None:
    os.mkfifo(path)


def large(path: Path) -> None:
    with path.open("wb") as stream:
        stream.truncate(LARGEST_BYTES + 1)


def deep(path: Path) -> None:
    path.write_text("[" * 200_000, encoding="utf-8")


@pytest.mark.parametrize("make", [endless, pipe, large, deep, Path.mkdir])
def test_what_can_t_be_a_calibration_is_not_waited_for(
    library: Library, tmp_path: Path, make: Callable[[Path], None]
) -> None:
    path = tmp_path / "no camera"
    make(path)
    before = everything_in(library.folder)

    with pytest.raises(BadInputError, match="no camera is not a calibration"):
        keep(library, path)

    assert library.calibrations() == ()
    assert everything_in(library.folder) == before
