"""All words of the window stand in the one table, in order, and none that the shell doesn't say."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from capturestation.station.opening import Way
from capturestation.ui.keys import key_table
from capturestation.ui.look import Theme
from capturestation.ui.texts import say, texts

UI = Path(__file__).parents[2] / "capturestation" / "ui"
TABLE = (UI / "texts.csv").read_text(encoding="utf-8").splitlines()


def literals() -> set[str]:
    """Every piece of text in the code of the window."""
    found = set()
    for file in UI.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
    found |= set((UI / "keys.csv").read_text(encoding="utf-8").replace("\n", ",").split(","))
    return found


def said_keys() -> set[str]:
    """Every key that stands whole in a call of `say`."""
    found = set()
    for file in UI.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "say":
                first = node.args[0]
                if isinstance(first, ast.Constant):
                    found.add(str(first.value))
    return found


def test_the_table_is_in_order_and_has_no_key_twice() -> None:
    keys = [line.split(",", 1)[0] for line in TABLE[1:] if line]

    assert keys == sorted(set(keys))


def test_every_text_that_is_said_is_in_the_table() -> None:
    assert said_keys() - set(texts()) == set()


def test_no_text_of_the_shell_is_left_unsaid() -> None:
    pieces = literals()
    made_of_parts = {f"shell.sheet.{theme}" for theme in Theme}
    made_of_parts |= {f"shell.start.{way}" for way in Way}
    groups = {line.action.split(".")[0] for line in key_table()} - {"remote"}
    made_of_parts |= {f"shell.sheet.group.{group}" for group in groups}
    made_of_parts |= {
        f"shell.place.{place}{end}" for place in ("book", "bench", "bay") for end in ("", ".hint")
    }

    unsaid = {key for key in texts() if key.startswith("shell.") and key not in pieces}

    assert unsaid == made_of_parts


def test_a_place_that_gets_no_value_is_a_fault() -> None:
    with pytest.raises(KeyError):
        say("shell.undo")


def test_a_name_with_braces_is_left_as_it_is() -> None:
    assert say("shell.undo", words="{star}") == "Take back: {star}"
