"""Files are whole or not there, whatever stops the writing."""

from __future__ import annotations

import errno
import hashlib
import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from capturestation.errors import CancelledError, NotReadableError, OutputError
from capturestation.folders import (
    atomic_write_bytes,
    atomic_write_text,
    copy_durably,
    make_folder,
    move_folder,
    sha256_of,
)
from capturestation.records import Quiet, StopAfter

REFUSALS = {
    errno.ENOSPC: "no room left",
    errno.EDQUOT: "no room left",
    errno.EFBIG: "no room left",
    errno.EACCES: "may not write",
    errno.EROFS: "may not write",
    errno.EEXIST: "already there",
    errno.EIO: "could not be written",
}


def refuse(monkeypatch: pytest.MonkeyPatch, call: str, number: int) -> None:
    """Make one call of the operating system fail from here on."""

    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, call, fail)


def test_a_written_file_holds_the_text_and_nothing_partial_lies_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text("old", encoding="utf-8")

    atomic_write_text(path, "Zoë\n")

    assert path.read_bytes() == "Zoë\n".encode()
    assert list(tmp_path.iterdir()) == [path]


def test_what_is_written_is_private_to_this_account(tmp_path: Path) -> None:
    folder = tmp_path / "above" / "below"

    make_folder(folder)
    atomic_write_bytes(folder / "a", b"x")

    modes = [stat.S_IMODE(p.stat().st_mode) for p in (folder.parent, folder, folder / "a")]
    assert modes == [0o700, 0o700, 0o600]


@pytest.mark.parametrize("call", ["write", "fsync"])
@pytest.mark.parametrize("number", REFUSALS)
def test_a_refusal_to_write_keeps_the_old_file_and_says_what_to_try(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, number: int
) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(b"old")
    refuse(monkeypatch, call, number)

    with pytest.raises(OutputError, match=REFUSALS[number]) as caught:
        atomic_write_bytes(path, b"new")

    assert caught.value.subject == str(path)
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_the_bytes_are_on_the_disk_before_the_name_and_the_name_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.json"
    seen: list[bool] = []
    flush = os.fsync

    def watched(number: int) -> None:
        seen.append(path.exists())
        flush(number)

    monkeypatch.setattr(os, "fsync", watched)

    atomic_write_bytes(path, b"new")

    assert seen == [False, True]


@given(data=st.binary(max_size=100), copies=st.integers(1, 30_000))
def test_a_copy_has_the_bytes_and_the_hash_of_its_source(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, copies: int
) -> None:
    folder = tmp_path_factory.mktemp("copy")
    source, target = folder / "source", folder / "target"
    source.write_bytes(data * copies)

    hashed = copy_durably(source, target, Quiet())

    assert target.read_bytes() == data * copies
    assert hashed.size_bytes == len(data) * copies
    assert hashed.sha256 == hashlib.sha256(data * copies).hexdigest()
    assert hashed.sha256 == sha256_of(target, Quiet())


def test_a_copy_onto_a_name_in_use_is_refused(tmp_path: Path) -> None:
    source, target = tmp_path / "source", tmp_path / "target"
    source.write_bytes(b"new")
    target.write_bytes(b"old")

    with pytest.raises(OutputError, match="already there"):
        copy_durably(source, target, Quiet())

    assert target.read_bytes() == b"old"


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
def test_a_cancelled_copy_leaves_nothing(tmp_path: Path, share: float) -> None:
    source, target = tmp_path / "source", tmp_path / "target"
    source.write_bytes(bytes(3 << 20))

    with pytest.raises(CancelledError):
        copy_durably(source, target, StopAfter(share))

    assert list(tmp_path.iterdir()) == [source]


def test_a_full_disk_in_the_middle_of_a_copy_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source, target = tmp_path / "source", tmp_path / "target"
    source.write_bytes(b"x")
    refuse(monkeypatch, "write", errno.ENOSPC)

    with pytest.raises(OutputError, match="no room left"):
        copy_durably(source, target, Quiet())

    assert list(tmp_path.iterdir()) == [source]


def test_a_source_that_is_not_there_or_is_a_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotReadableError, match="is not there"):
        copy_durably(tmp_path / "none", tmp_path / "target", Quiet())
    with pytest.raises(NotReadableError, match="can't be read"):
        copy_durably(tmp_path, tmp_path / "target", Quiet())

    assert list(tmp_path.iterdir()) == []


def test_a_folder_is_not_moved_onto_a_name_in_use(tmp_path: Path) -> None:
    source, target = tmp_path / "source", tmp_path / "target"
    source.mkdir()
    target.mkdir()

    with pytest.raises(OutputError, match="already there"):
        move_folder(source, target)

    assert source.is_dir()


def test_a_file_in_the_way_of_a_folder_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_bytes(b"")

    with pytest.raises(OutputError):
        make_folder(tmp_path / "file" / "below")

    assert (tmp_path / "file").is_file()
