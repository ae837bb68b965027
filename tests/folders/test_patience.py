"""A file that another program holds is waited for, and only such a one."""

from __future__ import annotations

import errno
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from capturestation.errors import OutputError
from capturestation.folders import (
    atomic_write_bytes,
    copy_durably,
    move_folder,
    remove_file,
    remove_folder,
)
from capturestation.folders.patience import PAUSES_S, extended, patiently, plain_form, reachable
from capturestation.records import Quiet


def held(windows: int | None = 32) -> OSError:
    """What the system raises for a file that is open elsewhere."""
    error = PermissionError(errno.EACCES, "held") if windows else OSError(errno.EBUSY, "busy")
    if windows:
        setattr(error, "winerror", windows)  # noqa: B010 - only Windows declares it
    return error


@pytest.fixture
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The waits that were asked for, without the waiting."""
    asked: list[float] = []
    monkeypatch.setattr("capturestation.folders.patience.time.sleep", asked.append)
    return asked


def failing(error: OSError, times: int) -> Callable[[], str]:
    """An act that fails so many times."""
    left = [error] * times

    def act() -> str:
        if left:
            raise left.pop()
        return "done"

    return act


@pytest.mark.parametrize("windows", [5, 32, 33, None])
@pytest.mark.parametrize("times", [0, 1, len(PAUSES_S)])
def test_what_is_held_for_a_moment_is_done_in_the_end(
    pauses: list[float], windows: int | None, times: int
) -> None:
    assert patiently(failing(held(windows), times)) == "done"

    assert pauses == list(PAUSES_S[:times])


def test_what_is_held_for_good_is_said_in_the_end(pauses: list[float]) -> None:
    with pytest.raises(PermissionError):
        patiently(failing(held(), len(PAUSES_S) + 1))

    assert pauses == list(PAUSES_S)


def test_no_waiting_where_it_can_not_help(pauses: list[float]) -> None:
    for number in (errno.EACCES, errno.ENOSPC, errno.ENOENT):
        with pytest.raises(OSError, match="no"):
            patiently(failing(OSError(number, "no"), 1))

    assert pauses == []


def hold(monkeypatch: pytest.MonkeyPatch, call: str, times: int) -> None:
    """Make a path's call fail so many times, as if held, before it works."""
    real = getattr(Path, call)
    left = [held()] * times

    def tried(*args: Path, **options: bool) -> object:
        if left:
            raise left.pop()
        return real(*args, **options)

    monkeypatch.setattr(Path, call, tried)


def test_a_file_that_a_scanner_holds_is_replaced_a_moment_later(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pauses: list[float]
) -> None:
    hold(monkeypatch, "replace", 2)

    atomic_write_bytes(tmp_path / "a.json", b"new")

    assert (tmp_path / "a.json").read_bytes() == b"new"
    assert len(pauses) == 2


def test_a_file_that_stays_open_keeps_its_old_bytes_and_says_who_must_let_go(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pauses: list[float]
) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(b"old")
    hold(monkeypatch, "replace", 99)

    with pytest.raises(OutputError, match=r"a\.json is open in another program.*Close"):
        atomic_write_bytes(path, b"new")

    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_copies_moves_and_removals_wait_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pauses: list[float]
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "a").write_bytes(b"x")
    hold(monkeypatch, "replace", 1)
    hold(monkeypatch, "rename", 1)

    copy_durably(tmp_path / "folder" / "a", tmp_path / "folder" / "b", Quiet())
    move_folder(tmp_path / "folder", tmp_path / "moved")
    assert (tmp_path / "moved" / "b").read_bytes() == b"x"
    hold(monkeypatch, "unlink", 1)
    remove_file(tmp_path / "moved" / "a")
    real, left = shutil.rmtree, [held()]

    def tried(path: Path) -> None:
        if left:
            raise left.pop()
        real(path)

    monkeypatch.setattr(shutil, "rmtree", tried)
    remove_folder(tmp_path / "moved")

    assert list(tmp_path.iterdir()) == []
    assert len(pauses) == 4


@pytest.mark.parametrize("path", ["C:\\films\\a", "\\\\nas\\films\\a"])
def test_the_extended_form_of_a_path_leads_back_to_it(path: str) -> None:
    assert extended(path).startswith("\\\\?\\")
    assert extended(extended(path)) == extended(path)
    assert plain_form(extended(path)) == path
    assert plain_form(path) == path


def test_elsewhere_a_path_stays_as_it_is(tmp_path: Path) -> None:
    deep = tmp_path.joinpath(*["x" * 90] * 4)

    assert reachable(deep) == deep
