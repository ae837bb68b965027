from __future__ import annotations

import errno
from pathlib import Path

import av.error
import pytest

from capturestation.errors import NotReadableError, OutputError
from capturestation.media._mapping import not_writable, reading, writing

THEIRS = sorted(
    {
        kind
        for kind in vars(av.error).values()
        if isinstance(kind, type) and issubclass(kind, av.error.FFmpegError)
    },
    key=lambda kind: kind.__name__,
)
PLAIN = [FileNotFoundError, PermissionError, IsADirectoryError, OSError, EOFError]


def test_the_list_of_their_errors_is_not_empty() -> None:
    assert len(THEIRS) > 40


@pytest.mark.parametrize("kind", THEIRS, ids=lambda kind: str(kind.__name__))
def test_each_of_their_errors_becomes_ours(kind: type[av.error.FFmpegError]) -> None:
    theirs = kind(errno.EIO, "text of theirs")

    with pytest.raises(NotReadableError, match=r"^swing\.mp4 ") as read, reading(Path("swing.mp4")):
        raise theirs
    with pytest.raises(OutputError, match=r"^clip\.mp4 ") as written, writing(Path("clip.mp4")):
        raise theirs

    assert read.value.__cause__ is theirs
    assert written.value.__cause__ is theirs
    assert read.value.try_next
    assert written.value.try_next


@pytest.mark.parametrize("kind", PLAIN)
def test_the_systems_errors_become_ours_too(kind: type[OSError] | type[EOFError]) -> None:
    with pytest.raises(NotReadableError), reading(Path("swing.mp4")):
        raise kind
    with pytest.raises(OutputError), writing(Path("clip.mp4")):
        raise kind


def test_a_mistake_of_our_own_is_not_hidden() -> None:
    with pytest.raises(KeyError), reading(Path("swing.mp4")):
        raise KeyError
    with pytest.raises(KeyError), writing(Path("clip.mp4")):
        raise KeyError


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EACCES, "its folder refuses it"),
        (errno.EROFS, "the disk is read-only"),
        (errno.ENOENT, "its folder is not there"),
    ],
)
def test_a_disk_is_blamed_for_what_it_did(number: int, words: str) -> None:
    for kind in (OSError, av.error.OSError):
        assert words in not_writable(Path("clip.mp4"), kind(number, "")).what
