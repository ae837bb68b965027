"""The body model comes from a file or through pip, and only the pinned one is kept."""

from __future__ import annotations

import shutil
import sys
import zipfile
from pathlib import Path

import pytest

from capturestation.errors import BadInputError, CancelledError, FetchError
from capturestation.records import Quiet, StopAfter
from capturestation.station import models
from capturestation.station.models import body_model, fetch_body_model
from capturestation.tracking.body_network import FILE, MEMBER, PACKAGE, VERSION


def packaged(folder: Path, content: bytes, member: str = MEMBER) -> Path:
    """A package of the right name that pip would take."""
    path = folder / f"{PACKAGE}-{VERSION}-cp312-none-any.whl"
    with zipfile.ZipFile(path, "w") as package:
        package.writestr(member, content)
        about = f"{PACKAGE}-{VERSION}.dist-info"
        package.writestr(f"{about}/METADATA", f"Name: {PACKAGE}\nVersion: {VERSION}\n")
        package.writestr(f"{about}/WHEEL", "Wheel-Version: 1.0\nTag: cp312-none-any\n")
        package.writestr(f"{about}/RECORD", "")
    return path


@pytest.fixture
def real() -> Path:
    """The model as this computer keeps it."""
    known = body_model()
    if not known.is_there:
        pytest.skip(known.why_not)
    return known.path


@pytest.fixture
def own_registry(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that pip takes for the only registry there is."""
    folder = tmp_path / "registry"
    folder.mkdir()
    for name, value in (
        ("NO_INDEX", "1"),
        ("FIND_LINKS", str(folder)),
        ("CONFIG_FILE", "/dev/null"),
    ):
        monkeypatch.setenv(f"PIP_{name}", value)
    return folder


def test_before_it_is_fetched_it_says_how(tmp_path: Path) -> None:
    found = body_model(tmp_path)

    assert not found.is_there
    assert "models fetch" in found.why_not


def test_it_is_taken_out_of_a_package_that_is_handed_in(tmp_path: Path, real: Path) -> None:
    package = packaged(tmp_path, real.read_bytes())

    found = fetch_body_model(Quiet(), folder=tmp_path / "models", source=package)

    assert found.is_there
    assert found.path.read_bytes() == real.read_bytes()


def test_the_bare_model_may_be_handed_in(tmp_path: Path, real: Path) -> None:
    copy = tmp_path / "some.tflite"
    shutil.copyfile(real, copy)

    assert fetch_body_model(Quiet(), folder=tmp_path / "models", source=copy).is_there


@pytest.mark.parametrize("pip", ["23.2.1", "24.1b1", "26.3"])
def test_it_comes_through_pip(
    tmp_path: Path, real: Path, own_registry: Path, monkeypatch: pytest.MonkeyPatch, pip: str
) -> None:
    monkeypatch.setattr(models, "version", lambda _name: pip)
    packaged(own_registry, real.read_bytes())

    assert fetch_body_model(Quiet(), folder=tmp_path / "models").is_there


def test_what_is_there_is_not_fetched_again(tmp_path: Path, real: Path, own_registry: Path) -> None:
    folder = tmp_path / "models"
    folder.mkdir()
    shutil.copyfile(real, folder / FILE)

    assert fetch_body_model(Quiet(), folder=folder).is_there


def test_another_package_of_that_name_is_refused(tmp_path: Path, own_registry: Path) -> None:
    packaged(own_registry, b"another model")

    with pytest.raises(BadInputError, match="hash"):
        fetch_body_model(Quiet(), folder=tmp_path / "models")

    assert not (tmp_path / "models").exists()


@pytest.mark.parametrize("member", [MEMBER, "mediapipe/other.txt"])
def test_a_file_that_is_none_is_refused(tmp_path: Path, member: str) -> None:
    package = packaged(tmp_path, b"no model", member)

    with pytest.raises(BadInputError, match="body model"):
        fetch_body_model(Quiet(), folder=tmp_path / "models", source=package)

    assert not (tmp_path / "models").exists()


def test_without_a_registry_it_says_why(tmp_path: Path, own_registry: Path) -> None:
    with pytest.raises(FetchError, match="fetched") as caught:
        fetch_body_model(Quiet(), folder=tmp_path / "models")

    assert own_registry.exists()
    assert "hand it in" in caught.value.try_next


def test_what_an_old_pip_does_not_know_is_not_asked_of_it(
    tmp_path: Path, own_registry: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(models, "version", lambda _name: "23.2.1")
    old = models._command(tmp_path)
    monkeypatch.setattr(models, "version", lambda _name: "24.1")
    new = models._command(tmp_path)

    assert old[old.index("--progress-bar") + 1] == "off"
    assert new[new.index("--progress-bar") + 1] == "raw"


def test_what_pip_says_last_is_told_where_it_names_no_error(
    tmp_path: Path, own_registry: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    says = "print('\\nUsage: pip\\n\\nno such option\\n'); exit(2)"
    monkeypatch.setattr(models, "_command", lambda _folder: [sys.executable, "-c", says])

    with pytest.raises(FetchError, match="no such option"):
        fetch_body_model(Quiet(), folder=tmp_path / "models")


def test_stopping_leaves_nothing(tmp_path: Path, own_registry: Path) -> None:
    packaged(own_registry, b"0" * 1000)

    with pytest.raises(CancelledError):
        fetch_body_model(StopAfter(0.0), folder=tmp_path / "models")

    assert not (tmp_path / "models").exists()
