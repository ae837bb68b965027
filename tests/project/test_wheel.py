"""A wheel carries everything: the demo runs from it in an empty folder."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

from sample_sessions.session import load_session

ROOT = Path(__file__).parents[2]
TWO_SWINGS = """
import sys
from dataclasses import replace
from fractions import Fraction
from functools import partial

def only_here(event, args):
    if event in ("socket.connect", "socket.getaddrinfo"):
        raise RuntimeError(f"the network was asked: {event} {args}")

sys.addaudithook(only_here)
from capturestation.__main__ import main
from capturestation.station import demo
from sample_sessions.session import load_session

session = load_session()
first, *_, last = session.lessons
best = next(swing for swing in first.swings if swing.starred)
lessons = replace(first, swings=(best,)), replace(last, swings=last.swings[-1:])
demo.load_session = lambda: replace(session, lessons=lessons)
demo.clips.ClipWish = partial(demo.clips.ClipWish, slow=Fraction(1), hold_s=0.2)
main()
"""
"""The demo by its command, of the two swings that it compares and at their own speed, on a computer
with no network.

The other three go the same ways: the readme's first command walks them all, as does its benchmark.
"""


def told_lines() -> list[list[str]]:
    """The readme's two lines about a folder of wheels, without the name of Python."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = text.split("<!-- command: wheels -->")[1].split("```")[1]
    lines = [line.split() for line in block.splitlines()[1:] if line]
    assert [line[0] for line in lines] == ["python", "python"]
    return [line[1:] for line in lines]


def quiet(command: list[str], folder: Path, env: dict[str, str] | None = None) -> str:
    """Run a command that must succeed; its output."""
    done = subprocess.run(
        command, cwd=folder, env=env, capture_output=True, text=True, check=False, timeout=240
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def contents(wheel: Path) -> dict[str, int]:
    """All files of a wheel with their checksums; its record lists them once more."""
    with zipfile.ZipFile(wheel) as packed:
        return {i.filename: i.CRC for i in packed.infolist() if not i.filename.endswith("/RECORD")}


def copied_source(above: Path) -> Path:
    """What is in the checkout, without anything that was built of it."""
    source = above / "source"
    source.mkdir()
    listed = quiet(["git", "ls-files", "--cached", "--others", "--exclude-standard"], ROOT)
    for name in listed.splitlines():
        if (ROOT / name).is_file():
            (source / name).parent.mkdir(parents=True, exist_ok=True)
            (source / name).write_bytes((ROOT / name).read_bytes())
    return source


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project's wheel, built by the readme's line from a copy of what is in the checkout.

    What it needs lies here already, so neither that nor what builds it is fetched again.
    """
    source = copied_source(tmp_path_factory.mktemp("wheel"))
    offline = ["--no-deps", "--no-index", "--no-build-isolation", "-q"]
    quiet([sys.executable, *told_lines()[0], *offline], source)
    [made] = (source / "wheels").glob("*.whl")
    return made


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts of an environment into which the readme's line installed it."""
    above = tmp_path_factory.mktemp("offline")
    quiet([sys.executable, "-m", "venv", "--without-pip", "it"], above)
    scripts = above / "it" / "bin"
    (above / "wheels").symlink_to(wheel.parent)
    # Its own Python has no pip, so ours installs there.
    _, pip, *words = told_lines()[1]
    into = ["--disable-pip-version-check", "--python", str(scripts / "python")]
    quiet([sys.executable, "-m", pip, *into, *words, "--no-deps", "--no-compile", "-q"], above)
    # What it needs lies beside: of the wheels there is only our own.
    library = next((above / "it" / "lib").glob("python*")) / "site-packages"
    (library / "beside.pth").write_text(f"{sysconfig.get_path('purelib')}\n", encoding="utf-8")
    return scripts


def test_the_wheel_holds_code_session_and_licence_but_no_tests(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()

    assert any(name.endswith(".mp4") for name in names)
    assert "capturestation/py.typed" in names
    assert "capturestation/tracking/club.onnx" in names
    assert "capturestation/station/home_web.html" in names
    assert any(name.endswith("licenses/LICENSE") for name in names)
    assert not [name for name in names if name.startswith("tests/")]


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_the_source_distribution_makes_the_same_wheel(wheel: Path, tmp_path: Path) -> None:
    source = copied_source(tmp_path)
    made = [sys.executable, "-m", "build", "--sdist", "--no-isolation", "-o", str(tmp_path)]
    quiet(made, source)
    [packed] = tmp_path.glob("*.tar.gz")
    offline = ["--no-deps", "--no-index", "--no-build-isolation", "-q"]

    quiet([sys.executable, "-m", "pip", "wheel", "-w", "again", str(packed), *offline], tmp_path)

    [again] = (tmp_path / "again").glob("*.whl")
    assert contents(again) == contents(wheel)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_the_demo_runs_from_the_wheel_in_an_empty_folder_without_a_network(
    installed: Path, tmp_path: Path
) -> None:
    here = tmp_path / "empty"
    here.mkdir()
    settings = ("DISPLAY", "QT_QPA_PLATFORM", "PYTHONPATH")
    env = {k: v for k, v in os.environ.items() if k not in settings}
    # As on a machine where nothing was fetched yet: it goes without a body model.
    env |= {f"XDG_{kind}_HOME": str(tmp_path / kind.lower()) for kind in ("DATA", "STATE", "CACHE")}
    python = str(installed / "python")

    where = quiet([python, "-c", "import capturestation as c; print(c.__file__)"], here, env)
    told = quiet([python, "-c", TWO_SWINGS, "demo", "--out", "demo", "--json"], here, env)
    listed = [str(installed / "capturestation"), "calibrations", "list", "--json"]
    measured = quiet([*listed, "--library", "demo/library"], here, env)

    assert where.startswith(str(installed.parent))
    # By these the Bench lays the best over today's as today's cameras see it.
    names = set(load_session().camera_names.values())
    assert {one["camera"] for one in json.loads(measured)} == names
    assert len(json.loads(told)["swings"]) == 2
    assert json.loads(told) == json.loads((here / "demo/summary.json").read_text(encoding="utf-8"))
    assert (here / "demo/comparison.mp4").stat().st_size > 50_000
    assert sorted(p.name for p in here.iterdir()) == ["demo"]
