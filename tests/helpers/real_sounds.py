"""Real recorded backgrounds from two Debian packages, fetched once and kept in the user's cache.

`alsa-utils` 1.2.8-1 carries speech and noise at 48 kHz; `sonic-pi-samples` 3.2.2 (CC0) carries
machines, hiss, cloth and percussion. Neither holds a golf strike: strikes are made elsewhere and
mixed in. Used by benchmarks only, which fail with a plain sentence where the packages can't be had.
"""

from __future__ import annotations

import functools
import hashlib
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
import platformdirs
from scipy.signal import resample_poly

from capturestation.records import FloatArray

RATE_HZ = 48_000
_LEAST_S = 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One package of the Debian archive, pinned."""

    ask: str
    file: str
    sha256: str


ALSA = Package(
    ask="alsa-utils=1.2.8-1",
    file="alsa-utils_1.2.8-1_amd64.deb",
    sha256="fb24eb1a318228b974efbef726190dd90c6106a208814a3ee8f5d69b91ee0ba4",
)
SONIC = Package(
    ask="sonic-pi-samples=3.2.2~repack-8",
    file="sonic-pi-samples_3.2.2~repack-8_all.deb",
    sha256="25f2312d2fae005e6ad0f4726b8ed3084e776006a5a132083506e960224ac79d",
)
_FOLDERS = ((ALSA, "usr/share/sounds/alsa"), (SONIC, "usr/share/sonic-pi/samples"))

FOR_SETTINGS = (
    "Front_Left", "Front_Right", "Rear_Left", "Side_Right",
    "vinyl_rewind", "ambi_lunar_land", "loop_industrial", "ambi_haunted_hum", "loop_3d_printer",
    "ambi_swoosh", "ambi_glass_rub", "loop_mehackit1", "perc_swash", "vinyl_scratch",
    "ambi_soft_buzz", "mehackit_robot1", "loop_weirdo",
)  # fmt: skip
"""What settings may be chosen on; no benchmark hears them."""
FOR_BENCHES = (
    "Noise", "Front_Center", "Rear_Center", "Side_Left", "Rear_Right",
    "vinyl_hiss", "ambi_sauna", "loop_safari", "ambi_dark_woosh", "perc_till",
)  # fmt: skip
"""What benchmarks hear; no setting was chosen on them."""


class CannotFetchError(RuntimeError):
    """The packages are not in the cache and can't be fetched here."""


@functools.cache
def backgrounds(names: tuple[str, ...]) -> dict[str, FloatArray]:
    """One channel at 48 kHz, (n,), at least 1.3 s long (shorter ones are run to and fro).

    Raises:
        CannotFetchError: If a package can't be fetched or isn't the published one.
    """
    return {name: _long_enough(sound) for name, sound in recordings(names).items()}


@functools.cache
def recordings(names: tuple[str, ...]) -> dict[str, FloatArray]:
    """One channel at 48 kHz, (n,), as long as they are.

    Raises:
        CannotFetchError: If a package can't be fetched or isn't the published one.
    """
    folder = _there()
    found = {}
    for name in names:
        tried = [folder / p.file / i / f"{name}{e}" for p, i in _FOLDERS for e in (".wav", ".flac")]
        found[name] = _read(next(path for path in tried if path.exists()))
    return found


@functools.cache
def all_names() -> tuple[str, ...]:
    """Every recording there is, in the order of its name.

    Raises:
        CannotFetchError: If a package can't be fetched or isn't the published one.
    """
    folder = _there()
    found = [
        path.stem
        for package, inside in _FOLDERS
        for path in (folder / package.file / inside).iterdir()
        if path.suffix in (".wav", ".flac")
    ]
    return tuple(sorted(found))


def _there() -> Path:
    """The cache's folder with both packages in it."""
    folder = platformdirs.user_cache_path("capturestation-tests") / "sounds"
    folder.mkdir(parents=True, exist_ok=True)
    for package, inside in _FOLDERS:
        if not (folder / package.file / inside).is_dir():
            _fetch(package, folder / package.file)
    return folder


def _fetch(package: Package, folder: Path) -> None:
    with tempfile.TemporaryDirectory(dir=folder.parent) as partial:
        try:
            _run(["apt-get", "download", package.ask], Path(partial))
            deb = next(Path(partial).glob("*.deb"))
            digest = hashlib.sha256(deb.read_bytes()).hexdigest()
            if digest != package.sha256:
                raise CannotFetchError(f"{package.ask} is not the published file: sha256 {digest}.")
            _run(["dpkg-deb", "-x", str(deb), "whole"], Path(partial))
        except (subprocess.SubprocessError, OSError, StopIteration) as error:
            raise CannotFetchError(
                f"{package.ask} can't be fetched with apt-get here ({error}); "
                "run this benchmark on Debian 12 with a connection."
            ) from error
        Path(partial, "whole").rename(folder)


def _run(words: list[str], folder: Path) -> None:
    subprocess.run(words, cwd=folder, check=True, capture_output=True, timeout=120)


def _read(path: Path) -> FloatArray:
    with av.open(str(path)) as container:
        frames = [frame.to_ndarray().astype(np.float64) for frame in container.decode(audio=0)]
        stream = container.streams.audio[0]
        rate_hz, channels = stream.rate, stream.channels
        planar = stream.format.is_planar
    joined = np.concatenate(frames, axis=1)
    mono = joined.mean(axis=0) if planar else joined.reshape(-1, channels).mean(axis=1)
    if rate_hz != RATE_HZ:
        mono = resample_poly(mono, RATE_HZ, rate_hz)
    sound: FloatArray = np.asarray(mono / np.abs(mono).max(), dtype=np.float64)
    return sound


def _long_enough(mono: FloatArray) -> FloatArray:
    while len(mono) < _LEAST_S * RATE_HZ:
        mono = np.concatenate([mono, mono[-2:0:-1]])
    return mono
