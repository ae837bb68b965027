"""The command that opens the window hands on the library and the exit code."""

from __future__ import annotations

from pathlib import Path

import pytest

from capturestation.cli.main import run
from capturestation.cli.window import Faces
from capturestation.errors import RefusedError


class Opened:
    """Stands in for the window; keeps what it was opened on."""

    def __init__(self, code: int = 0) -> None:
        self.on: list[Path | None] = []
        self.code = code

    def __call__(self, library: Path | None) -> int:
        self.on.append(library)
        return self.code


def test_the_library_is_handed_on_and_the_code_comes_back(tmp_path: Path) -> None:
    opened = Opened(code=3)

    code = run(["window", "--library", str(tmp_path)], Faces(window=opened))

    assert code == 3
    assert opened.on == [tmp_path]


def test_without_one_the_window_decides(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CAPTURESTATION_LIBRARY", raising=False)
    opened = Opened()

    assert run(["window"], Faces(window=opened)) == 0
    assert opened.on == [None]


def test_the_environment_names_it_too(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("CAPTURESTATION_LIBRARY", str(tmp_path))
    opened = Opened()

    run(["window"], Faces(window=opened))

    assert opened.on == [tmp_path]


def test_no_screen_is_said_like_any_other_refusal(capsys: pytest.CaptureFixture[str]) -> None:
    def refuse(_library: Path | None) -> int:
        raise RefusedError("There is no screen.", try_next="Start it on the desktop.")

    code = run(["window"], Faces(window=refuse))

    assert code == 5
    assert capsys.readouterr().err == "There is no screen.\nStart it on the desktop.\n"
