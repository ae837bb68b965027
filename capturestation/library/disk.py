"""What kind of disk a folder lies on, as far as the system says.

The database needs memory that two processes of one computer share, and must not be copied while it
changes: it belongs on a disk of this computer, outside any folder that a program keeps the same on
several computers. Recordings may lie anywhere.
"""

from __future__ import annotations

import ctypes
import os
import re
import stat
import struct
import sys
from collections.abc import Iterator
from contextlib import suppress
from enum import StrEnum
from pathlib import Path, PurePath

from capturestation.folders.patience import plain_form

_MOUNTS = Path("/proc/self/mountinfo")
_NETWORK = (
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "ncpfs", "9p", "afs", "coda", "ceph", "glusterfs",
    "davfs", "lustre", "gfs2", "ocfs2", "virtiofs", "vboxsf",
)  # fmt: skip
_IN_USER_SPACE = "fuse."
# Mostly network disks; of none of them is it certain that processes share memory through it.
_OCTAL = re.compile(r"\\([0-7]{3})")
_DRIVE_REMOTE = 4
_MNT_LOCAL = 0x1000
_FLAGS_AT = 64
# f_flags in macOS' struct statfs with 64-bit inodes: after two 32-bit and five 64-bit counts, the
# file system's id, its owner and its type.
_CLOUD_ATTRIBUTES = 0x40000 | 0x80000 | 0x100000 | 0x400000
# Windows: RECALL_ON_OPEN, PINNED, UNPINNED, RECALL_ON_DATA_ACCESS.
_CLOUD_TAG, _CLOUD_TAG_MASK = 0x9000001A, 0xFFFF0FFF
# Windows: IO_REPARSE_TAG_CLOUD in any of its sixteen numbers.
_DATALESS = 0x40000000
# macOS: SF_DATALESS, a file whose bytes lie elsewhere.
_PROVIDERS = (("Library", "CloudStorage"), ("Library", "Mobile Documents"))
# macOS keeps what its file providers mirror in these.
_MARK = re.compile(r"[._~].*((?<![ar])sync|cloud)", re.IGNORECASE)
# Programs that mirror a folder leave a hidden list in it, mostly so named; not rsync's or async.


class Disk(StrEnum):
    """Where a folder lies."""

    LOCAL = "a disk of this computer"
    NETWORK = "a network disk"
    SYNCED = "a folder that is kept the same on several computers"


def disk_of(folder: Path) -> Disk:
    """What kind of disk a folder lies on; one that isn't there yet lies where it would be made.

    A mirrored folder is told by what its program leaves in it or the system marks it with. Not
    every program does either, so people can say it themselves.
    """
    there = Path(plain_form(str(folder.absolute())))
    while not there.exists() and there != there.parent:
        there = there.parent
    there = there.resolve()
    if on_network(there):
        return Disk.NETWORK
    return Disk.SYNCED if is_mirrored(there) else Disk.LOCAL


def on_network(folder: Path) -> bool:
    """Whether a folder that is there lies on a network disk."""
    if sys.platform == "win32":
        remote = ctypes.windll.kernel32.GetDriveTypeW(folder.anchor) == _DRIVE_REMOTE
        return remote or str(folder).startswith("\\\\")
    if sys.platform == "darwin":
        found = ctypes.create_string_buffer(4096)
        call = getattr(ctypes.CDLL(None), "statfs$INODE64", None) or ctypes.CDLL(None).statfs
        return call(os.fsencode(folder), found) == 0 and not is_local_statfs(found.raw)
    if not _MOUNTS.exists():
        return False
    return network_mount(str(folder), _MOUNTS.read_text(encoding="utf-8", errors="replace"))


def is_local_statfs(raw: bytes) -> bool:
    """Whether macOS' `struct statfs` says that a disk is local.

    Source: statfs(2) of macOS; MNT_LOCAL in sys/mount.h.
    """
    (flags,) = struct.unpack_from("=I", raw, _FLAGS_AT)
    return bool(flags & _MNT_LOCAL)


def network_mount(path: str, mountinfo: str) -> bool:
    """Whether the deepest mount above `path` is of a network kind.

    Source: proc_pid_mountinfo(5): field 5 is the mount point, the kind follows a lone dash.
    """
    deepest, kind = "", ""
    for line in mountinfo.splitlines():
        before, dash, after = line.partition(" - ")
        fields = before.split()
        if not dash or len(fields) < 5:
            continue
        point = _OCTAL.sub(lambda found: chr(int(found[1], 8)), fields[4])
        inside = point == "/" or path == point or path.startswith(point + os.sep)
        if inside and len(point) >= len(deepest):
            deepest, kind = point, after.split()[0]
    return kind in _NETWORK or kind.startswith(_IN_USER_SPACE)


def is_mirrored(folder: Path) -> bool:
    """Whether the system or a mark in it says that a program mirrors this folder elsewhere."""
    return beside_providers(folder) or any(
        _is_marked(above) or is_cloud_state(above.lstat()) for above in _own(folder)
    )


def beside_providers(folder: PurePath) -> bool:
    """Whether a folder lies where macOS keeps what it mirrors.

    Example:
        >>> beside_providers(PurePath("/Users/coach/Library/CloudStorage/drive/library"))
        True
    """
    pairs = zip(folder.parts, folder.parts[1:], strict=False)
    return any(pair in _PROVIDERS for pair in pairs)


def is_cloud_state(state: os.stat_result) -> bool:
    """Whether the system marks a folder as one whose files may lie elsewhere.

    Source: Microsoft, "File Attribute Constants" and "Reparse Point Tags"; macOS' sys/stat.h.
    """
    attributes = getattr(state, "st_file_attributes", 0)
    tag = getattr(state, "st_reparse_tag", 0)
    flags = getattr(state, "st_flags", 0)
    is_cloud_tag = tag & _CLOUD_TAG_MASK == _CLOUD_TAG
    return bool(attributes & _CLOUD_ATTRIBUTES or flags & _DATALESS or is_cloud_tag)


def _own(folder: Path) -> Iterator[Path]:
    """The folder and those above it, up to what is not a person's: home, a shared or the top one.

    A home folder is full of hidden files of all programs, and so is the folder for passing things.
    """
    for above in (folder, *folder.parents):
        state = above.stat()
        if above in (Path.home(), above.parent) or state.st_mode & stat.S_ISVTX:
            return
        yield above


def _is_marked(folder: Path) -> bool:
    with suppress(OSError), os.scandir(folder) as entries:
        return any(_MARK.match(entry.name) for entry in entries)
    return False
