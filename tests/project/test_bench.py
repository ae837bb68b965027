"""A benchmark's report says what was asked, what was found, and whether it holds."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.report import Bar, BenchReport

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("value", "op", "holds"), [(1.0, "<=", True), (1.1, "<=", False), (1.0, ">=", True)]
)
def test_a_bar_holds_on_its_right_side(value: float, op: str, holds: bool) -> None:
    assert op in ("<=", ">=")
    bar = Bar(name="x", value=value, unit="s", op="<=" if op == "<=" else ">=", bar=1.0)

    assert bar.holds is holds


def test_a_report_is_one_json_object_with_its_machine() -> None:
    bar = Bar(name="x", value=2.0, unit="s", op=">=", bar=3.0)

    told = json.loads(json.dumps(BenchReport(bench="b", bars=(bar,), details={"n": 1}).plain()))

    assert set(told) == {"bench", "machine", "bars", "details"}
    assert told["bars"] == [
        {"name": "x", "value": 2.0, "unit": "s", "op": ">=", "bar": 3.0, "holds": False}
    ]
    assert told["machine"]["cores"] >= 1


@pytest.mark.parametrize(
    ("words", "known"),
    [(["speed-of-light"], "demo"), (["soak", "--part", "a_week"], "backup_kills")],
)
def test_an_unknown_benchmark_is_refused_with_the_known_ones(words: list[str], known: str) -> None:
    command = [sys.executable, "-m", "tests.bench", *words]

    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)

    assert done.returncode == 2
    assert known in done.stderr
