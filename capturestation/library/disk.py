"""Whether a folder lies on a network: WAL needs memory that two processes share on one computer."""

from __future__ import annotations

import os
from pathlib import Path

_MOUNTS = Path("/proc/self/mountinfo")
_NETWORK = (
    "nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ceph", "glusterfs", "fuse.sshfs",
    "fuse.rclone", "davfs", "fuse.davfs2", "lustre",
)  # fmt: skip


def on_network(path: Path) -> bool:
    """Whether `path` lies on a network disk, as far as the system says.

    Linux lists its mounts; Windows shows shares in the path unless a letter was given to one.
    Other systems say nothing here, and a local disk is assumed.
    """
    whole = str(path.resolve())
    if whole.startswith("\\\\"):
        return True
    if not _MOUNTS.exists():
        return False
    return network_mount(whole, _MOUNTS.read_text(encoding="utf-8", errors="replace"))


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
        point = fields[4].replace("\\040", " ")
        inside = point == "/" or path == point or path.startswith(point + os.sep)
        if inside and len(point) >= len(deepest):
            deepest, kind = point, after.split()[0]
    return kind in _NETWORK
