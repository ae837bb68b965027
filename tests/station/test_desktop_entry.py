"""An entry among the desktop's programs: whole, valid, and gone again without a trace."""

from __future__ import annotations

import configparser
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PyQt6.QtGui import QImage

from capturestation.errors import NotReadableError, RefusedError
from capturestation.station.desktop_entry import (
    SIZES_PX,
    add_entry,
    data_home,
    entry_text,
    quoted,
    remove_entry,
)
from tests.helpers.library_records import files_below


class Keys(configparser.ConfigParser):
    """As a desktop reads them: large and small letters differ."""

    def optionxform(self, optionstr: str) -> str:
        return optionstr


def entry_of(path: Path) -> configparser.SectionProxy:
    read = Keys(interpolation=None)
    read.read(path, encoding="utf-8")
    return read["Desktop Entry"]


def test_the_entry_starts_this_installation_and_has_its_icon(tmp_path: Path) -> None:
    made = add_entry(tmp_path, system="linux")

    entry = entry_of(made.path)
    command = shlex.split(entry["Exec"])
    told = subprocess.run(
        [*command[:-1], "--version"], capture_output=True, text=True, check=True, timeout=50
    )
    assert command[-1] == "window"
    assert told.stdout.startswith("capturestation")
    assert made.path == tmp_path / "applications" / "capturestation.desktop"
    sizes = {QImage(str(path)).width(): path for path in made.icons}
    assert set(sizes) == set(SIZES_PX)
    assert all(path.stem == entry["Icon"] for path in made.icons)


@pytest.mark.parametrize("folder", ["/opt/station", '/home/a b/100% $HOME `x` \\ "q"/é'])
def test_the_desktop_finds_the_entry_valid(tmp_path: Path, folder: str) -> None:
    entry = tmp_path / "capturestation.desktop"
    entry.write_text(entry_text(quoted(f"{folder}/bin/capturestation")), encoding="utf-8")

    if (judge := shutil.which("desktop-file-validate")) is None:
        # What the standard asks of every entry.
        assert {"Type", "Name", "Exec"} <= set(entry_of(entry))
        return
    done = subprocess.run([judge, str(entry)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout + done.stderr) == (0, "")


def test_it_is_put_there_again_and_taken_away_without_a_trace(tmp_path: Path) -> None:
    other = tmp_path / "icons" / "hicolor" / "48x48" / "apps" / "other.png"
    other.parent.mkdir(parents=True)
    other.write_bytes(b"theirs")
    add_entry(tmp_path, system="linux")
    add_entry(tmp_path, system="linux")

    first, again = (remove_entry(tmp_path, system="linux") for _ in range(2))

    assert len(first.icons) == len(SIZES_PX)
    assert again.icons == ()
    assert files_below(tmp_path) == {str(other.relative_to(tmp_path)): b"theirs"}


def test_an_entry_of_something_else_stays(tmp_path: Path) -> None:
    entry = tmp_path / "applications" / "capturestation.desktop"
    entry.parent.mkdir()
    entry.write_text("[Desktop Entry]\nName=capturestation\n", encoding="utf-8")
    before = files_below(tmp_path)

    for change in (add_entry, remove_entry):
        with pytest.raises(RefusedError, match="something else"):
            change(tmp_path, system="linux")

    assert files_below(tmp_path) == before


def test_what_is_in_the_way_and_no_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "applications" / "capturestation.desktop").mkdir(parents=True)

    with pytest.raises(NotReadableError):
        add_entry(tmp_path, system="linux")

    assert files_below(tmp_path) == {}


@pytest.mark.parametrize("system", ["win32", "darwin"])
def test_elsewhere_it_says_what_to_do_instead(tmp_path: Path, system: str) -> None:
    with pytest.raises(RefusedError) as refused:
        add_entry(tmp_path, system=system)

    assert "shortcut" in refused.value.try_next
    assert files_below(tmp_path) == {}


def test_it_lies_where_the_account_keeps_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    told = data_home()
    monkeypatch.setenv("XDG_DATA_HOME", "relative")

    assert told == tmp_path
    assert data_home() == Path.home() / ".local" / "share"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="such entries are for Linux")
def test_by_default_it_is_this_computer_s_system_that_decides(tmp_path: Path) -> None:
    assert add_entry(tmp_path).path.exists()
