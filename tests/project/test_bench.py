"""A benchmark's report says what was asked, what was found, and whether it holds."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench._many import answers
from tests.bench.phases import Tally, together
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


def test_answers_come_in_the_order_of_the_questions_by_any_number_of_processes() -> None:
    asked = (90.0, 1.0, 25.0, 4.0)

    told = [answers(math.sqrt, asked, workers=workers) for workers in (1, 2)]

    assert told[0] == told[1] == [math.sqrt(one) for one in asked]


def test_what_single_swings_add_up_to_is_what_all_of_them_are() -> None:
    one, other = Tally(swings=1, tolerated=[True], contact_frames=[0.5]), Tally(swings=2)
    one.by_moment["top"].append(3.0)
    other.by_moment["top"] += [4.0, 5.0]

    both = together([one, other])

    assert (both.swings, both.tolerated, both.contact_frames) == (3, [True], [0.5])
    assert both.by_moment == {"top": [3.0, 4.0, 5.0]}
