"""Network disks and mirrored folders are told apart from a disk of this computer."""

from __future__ import annotations

import os
import struct
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from capturestation.library.disk import (
    Disk,
    disk_of,
    is_cloud_state,
    is_local_statfs,
    network_mount,
)

MOUNTS = """\
22 1 8:1 / / rw,relatime shared:1 - ext4 /dev/sda1 rw
30 22 0:40 / /mnt/nas rw - nfs4 nas:/films rw
31 22 0:41 / /mnt/nas/local rw - ext4 /dev/sdb1 rw
32 22 0:42 / /mnt/two\\040words rw - cifs //nas/films rw
33 22 0:43 / /mnt/other rw - fuse.anything host:/films rw
34 22 8:3 / /mnt/stick rw - fuseblk /dev/sdc1 rw
broken line
"""


@pytest.mark.parametrize(
    ("path", "network"),
    [
        ("/home/coach/library", False),
        ("/mnt/nas/library", True),
        ("/mnt/nas", True),
        ("/mnt/nas/local/library", False),
        ("/mnt/nasty/library", False),
        ("/mnt/two words/library", True),
        ("/mnt/other/library", True),
        ("/mnt/stick/library", False),
    ],
)
def test_a_network_disk_is_told_by_the_deepest_mount(path: str, network: bool) -> None:
    assert network_mount(path, MOUNTS) is network


def test_a_folder_that_is_not_there_yet_lies_where_it_would_be_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    mounts = tmp_path / "mounts"
    network = f"2 1 0:2 / {tmp_path.resolve()}/n rw - nfs b rw"
    mounts.write_text(f"1 0 0:1 / / rw - ext4 a rw\n{network}\n", encoding="utf-8")
    monkeypatch.setattr("capturestation.library.disk._MOUNTS", mounts)
    (tmp_path / "n").mkdir()

    assert disk_of(tmp_path / "n" / "not" / "yet") is Disk.NETWORK
    assert disk_of(tmp_path / "not" / "yet") is Disk.LOCAL


@pytest.mark.parametrize(("flags", "local"), [(0x1000, True), (0x0001, False)])
def test_macos_says_by_a_flag_whether_a_disk_is_local(flags: int, local: bool) -> None:
    counts, owner_and_type = (0,) * 5, (501, 26)
    raw = struct.pack("=IiQQQQQiiIII", 4096, 4096, *counts, 0, 0, *owner_and_type, flags)

    assert is_local_statfs(raw + bytes(2_000)) is local


@pytest.mark.parametrize(
    ("state", "elsewhere"),
    [
        ({"st_file_attributes": 0x10}, False),
        ({"st_file_attributes": 0x10 | 0x400000}, True),
        ({"st_file_attributes": 0x410, "st_reparse_tag": 0x9000601A}, True),
        ({"st_file_attributes": 0x410, "st_reparse_tag": 0xA000000C}, False),
        ({"st_flags": 0x40000000}, True),
        ({"st_flags": 0x8000}, False),
    ],
)
def test_a_folder_whose_files_may_lie_elsewhere_is_marked_by_the_system(
    state: dict[str, int], elsewhere: bool
) -> None:
    assert is_cloud_state(cast(os.stat_result, SimpleNamespace(**state))) is elsewhere


@pytest.mark.parametrize(
    ("mark", "mirrored"),
    [
        (".sync", True),
        ("._sync_7f.db", True),
        (".anycloudsync.log", True),
        (".rsync-filter", False),
        ("sync notes.txt", False),
        (".hidden", False),
    ],
)
def test_a_mirrored_folder_is_told_by_the_hidden_list_in_it(
    tmp_path: Path, mark: str, mirrored: bool
) -> None:
    (tmp_path / "mirror" / "golf").mkdir(parents=True)
    (tmp_path / "mirror" / mark).write_bytes(b"")

    found = disk_of(tmp_path / "mirror" / "golf" / "library")

    assert found is (Disk.SYNCED if mirrored else Disk.LOCAL)
    assert disk_of(tmp_path / "beside") is Disk.LOCAL


def test_what_lies_in_home_or_a_shared_folder_marks_nothing_below(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    for above in ("home", "shared"):
        (tmp_path / above / "golf").mkdir(parents=True)
        (tmp_path / above / ".sync").write_bytes(b"")
    (tmp_path / "shared").chmod(0o1777)

    assert disk_of(tmp_path / "home" / "golf") is Disk.LOCAL
    assert disk_of(tmp_path / "shared" / "golf") is Disk.LOCAL
