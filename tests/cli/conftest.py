"""A filled library, and a way to type commands at it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from capturestation.cli.main import run
from capturestation.library import Library
from capturestation.records import Moment, Plain, Swing
from capturestation.station import marking
from tests.helpers.bay_files import Pair
from tests.helpers.station_library import MS, grown_up, taken_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """A library that is copied for each test.

    Args:
        folder: Where it lies.
        best: Its first swing: starred, and marked by hand at one moment.
        today: Its last swing.
    """

    folder: Path
    best: Swing
    today: Swing


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


@pytest.fixture(scope="session")
def prepared(
    tmp_path_factory: pytest.TempPathFactory, first_swing: Pair, second_swing: Pair
) -> Filled:
    """The library that the tests copy."""
    folder = tmp_path_factory.mktemp("prepared") / "library"
    with Library.open(folder) as library:
        student = grown_up(library)
        best = taken_in(library, student, first_swing)
        best = marking.mark_by_hand(library, best, Moment.SHAFT_LEVEL_DOWN, at_ns=-60 * MS)
        best = marking.set_star(library, best, starred=True)
        today = taken_in(library, student, second_swing, hour=2)
    return Filled(folder=folder, best=best, today=today)


@pytest.fixture
def filled(prepared: Filled, tmp_path: Path) -> Filled:
    """A library of its own for one test."""
    folder = Path(shutil.copytree(prepared.folder, tmp_path / "library"))
    return Filled(folder=folder, best=prepared.best, today=prepared.today)


@pytest.fixture
def bare(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Typed:
    """Types a command; the library is a folder that is not there yet."""
    monkeypatch.setenv("CAPTURESTATION_LIBRARY", str(tmp_path / "library"))

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
