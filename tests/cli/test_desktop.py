"""The entry among the desktop's programs, by command."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Typed


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="such entries are for Linux")
def test_the_entry_is_added_and_removed(
    bare: Typed, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    entry = tmp_path / "data" / "applications" / "capturestation.desktop"

    added = bare("desktop", "add", "--json")
    was_there = entry.exists()
    removed = bare("desktop", "remove")

    assert (added.code, added.err, removed.code, removed.err) == (0, "", 0, "")
    assert isinstance(added.value, dict)
    assert added.value["path"] == str(entry)
    assert was_there
    assert not entry.exists()
    assert str(entry) in removed.out
