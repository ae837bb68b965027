"""What the readme and the contributors' guide say is there, is there, and the other way round."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from capturestation.cli.main import root
from capturestation.errors import StationError
from tests.bench.__main__ import names
from tests.project.test_errors import family

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
ALLOWED_AT_TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "pyproject.toml",
    "capturestation",
    "calibration",
    "tests",
    "sample_sessions",
}


def commands(group: click.Group, before: str = "") -> dict[str, click.Command]:
    """Every command by its full name."""
    found: dict[str, click.Command] = {}
    for name, command in group.commands.items():
        if isinstance(command, click.Group):
            found |= commands(command, f"{before}{name} ")
        else:
            found[before + name] = command
    return found


def table_rows() -> str:
    """The readme's table of commands."""
    return "\n".join(line for line in README.splitlines() if line.startswith("| `"))


@pytest.mark.parametrize("name", commands(root))
def test_every_command_is_in_the_readme(name: str) -> None:
    group, _, last = name.rpartition(" ")
    row = next((r for r in table_rows().splitlines() if f"`{group or name}" in r), "")

    assert re.search(rf"`({group} )?{last}`", row), f"{name} is not in the table: {row}"


def test_the_readme_names_no_command_that_is_not_there() -> None:
    known = {word for name in commands(root) for word in name.split()}
    first_cells = " ".join(row.split("|")[1] for row in table_rows().splitlines())

    assert set(re.findall(r"[a-z]+", first_cells)) <= known


@pytest.mark.parametrize("name", commands(root))
def test_every_command_and_option_explains_itself(name: str) -> None:
    command = commands(root)[name]

    assert command.help, name
    assert len(command.help.splitlines()[0]) <= 100


@pytest.mark.parametrize("kind", family(StationError)[1:])
def test_every_error_is_named_for_contributors(kind: type[StationError]) -> None:
    assert f"`{kind.__name__}`" in DEVELOPERS


def test_every_exit_code_is_in_the_readme_and_in_the_help() -> None:
    codes = {str(kind.exit_code) for kind in family(StationError)[1:]}
    said = README.split("Exit codes:")[1].split("###")[0]

    for code in codes:
        assert re.search(rf"\b{code}\b", said), code
        assert re.search(rf"\b{code}\b", root.help or ""), code


def test_every_setting_from_the_environment_is_named() -> None:
    settings = {
        str(option.envvar)
        for command in commands(root).values()
        for option in command.params
        if option.envvar
    }

    assert settings
    assert all(name in README for name in settings)


def test_every_benchmark_is_listed_for_contributors() -> None:
    listed = set(re.findall(r"^\| `(\w+)` \|", DEVELOPERS, re.M))

    assert listed == set(names())


def test_the_files_that_the_guides_link_or_name_are_there() -> None:
    linked = re.findall(r"\]\(([^)#:]+)\)", README + DEVELOPERS)
    named = re.findall(r"`((?:[a-z_]+/)+[a-z_]+\.py)`", DEVELOPERS)

    assert linked
    assert named
    for path in linked:
        assert (ROOT / path).is_file(), path
    for path in named:
        places = (ROOT / path, ROOT / "capturestation" / path)
        assert any(place.is_file() for place in places), path


def test_nothing_else_stands_at_the_top(request: pytest.FixtureRequest) -> None:
    built = {"out", "build", "dist"}
    there = {p.name for p in ROOT.iterdir() if not p.name.startswith(".")}

    extra = {name for name in there - ALLOWED_AT_TOP - built if not name.endswith(".egg-info")}

    assert extra == set()


def test_the_guides_cite_no_path_of_one_machine() -> None:
    for text in (README, DEVELOPERS):
        assert not re.search(r"/(home|work|tmp|root|Users)/", text)
