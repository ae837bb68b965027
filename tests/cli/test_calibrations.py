"""Calibrations by command: kept, listed with their error, withdrawn and used again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Typed
from tests.helpers.bay_camera import CAMERA

NAME = "left webcam"


@pytest.fixture
def kept(typed: Typed, tmp_path: Path) -> str:
    """Two calibrations of one camera; the id of the newer."""
    file = tmp_path / "camera.json"
    file.write_text(json.dumps(CAMERA), encoding="utf-8")
    typed("calibrations", "add", str(file), "--valid-from", "2026-09-01")
    done = typed("calibrations", "add", str(file), "--valid-from", "2026-10-01", "--json")
    assert isinstance(done.value, dict)
    return str(done.value["id"])


def test_they_are_listed_with_kind_and_error_newest_first(typed: Typed, kept: str) -> None:
    done = typed("calibrations", "list", NAME)

    newest = done.out.splitlines()[1:]
    assert "2026-10-01" in next(line for line in newest if kept in line)
    assert done.out.index("2026-10-01") < done.out.index("2026-09-01")
    assert done.out.count("not measured") == 2


def test_the_newest_of_a_camera_is_withdrawn_and_used_again(typed: Typed, kept: str) -> None:
    told = typed("calibrations", "withdraw", NAME)
    listed = typed("calibrations", "list")
    back = typed("calibrations", "withdraw", NAME, "--again", "--json")

    assert (told.code, told.out.strip()) == (
        0,
        f"{NAME} from 2026-10-01 00:00 on is not used any more.",
    )
    assert listed.out.count("withdrawn") == 1
    assert isinstance(back.value, dict)
    assert (back.value["id"], back.value["withdrawn_at"]) == (kept, None)


def test_one_is_withdrawn_by_its_id_and_what_is_not_there_is_told(typed: Typed, kept: str) -> None:
    assert typed("calibrations", "withdraw", kept).code == 0
    gone = typed("calibrations", "withdraw", "no such")

    assert gone.code == 4
    assert typed("calibrations", "list").out.count("withdrawn") == 1
