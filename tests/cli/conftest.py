"""A way to type commands at a library."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from capturestation.cli.main import run
from capturestation.records import Plain
from capturestation.station import cache, models
from tests.helpers.station_library import Filled


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What one command did.

    Args:
        code: Its exit code.
        out: What it wrote for the next program.
        err: What it wrote for the person only.
    """

    code: int
    out: str
    err: str

    @property
    def value(self) -> Plain:
        """Its one JSON value."""
        read: Plain = json.loads(self.out)
        return read


Typed = Callable[..., Outcome]


@pytest.fixture
def bare(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Typed:
    """Types a command; the library is a folder that is not there yet."""
    monkeypatch.setenv("CAPTURESTATION_LIBRARY", str(tmp_path / "library"))
    monkeypatch.setattr(cache, "user_cache_path", lambda name: tmp_path / "caches" / name)
    monkeypatch.setattr(models, "user_data_path", lambda name: tmp_path / "data" / name)

    def typed(*words: str | Path) -> Outcome:
        capsys.readouterr()
        code = run([str(word) for word in words])
        said = capsys.readouterr()
        return Outcome(code=code, out=said.out, err=said.err)

    return typed


@pytest.fixture
def typed(bare: Typed, filled: Filled) -> Typed:
    """Types a command at the filled library."""
    assert filled.folder.name == "library"
    return bare
