"""Files and functions stay small enough to read: 350 lines a file, 40 a function."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGES = ("capturestation", "calibration", "sample_sessions", "tests")
FILE_LINES = 350
FUNCTION_LINES = 40


def docstring_lines(node: ast.AST) -> int:
    """How many lines the docstring of one module, class or function takes."""
    if not isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)):
        return 0
    if ast.get_docstring(node, clean=False) is None:
        return 0
    text = node.body[0]
    return (text.end_lineno or text.lineno) - text.lineno + 1


def too_long(source: str) -> list[str]:
    """Name what is over the caps in one file's text."""
    tree = ast.parse(source)
    found = []
    lines = len(source.splitlines()) - sum(docstring_lines(node) for node in ast.walk(tree))
    if lines > FILE_LINES:
        found.append(f"{lines} lines")
    for node in ast.walk(tree):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            length = (node.end_lineno or node.lineno) - node.lineno + 1 - docstring_lines(node)
            if length > FUNCTION_LINES:
                found.append(f"{node.name}: {length} lines")
    return found


@pytest.mark.parametrize("package", PACKAGES)
def test_files_and_functions_stay_within_their_caps(package: str) -> None:
    files = sorted((ROOT / package).rglob("*.py"))

    over = {str(f.relative_to(ROOT)): too_long(f.read_text(encoding="utf-8")) for f in files}

    assert files
    assert {name: found for name, found in over.items() if found} == {}


def test_the_cap_sees_a_long_file_and_a_long_function() -> None:
    function = "def f() -> None:\n" + "    x = 1\n" * FUNCTION_LINES
    long_file = "x = 1\n" * (FILE_LINES + 1)
    documented = '"""' + "line\n" * FILE_LINES + '"""\nx = 1\n'

    assert too_long(function) == [f"f: {FUNCTION_LINES + 1} lines"]
    assert too_long(long_file) == [f"{FILE_LINES + 1} lines"]
    assert too_long(documented) == []
