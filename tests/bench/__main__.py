"""`python -m tests.bench NAME --json` measures and prints one JSON object."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from pathlib import Path

from tests.bench.report import BenchReport

NOT_BENCHES = {"__init__", "__main__", "report"}


def names() -> list[str]:
    """Every benchmark there is: a module beside this one with `run`."""
    return sorted(
        f.stem
        for f in Path(__file__).parent.glob("*.py")
        if f.stem not in NOT_BENCHES and not f.stem.startswith("_")
    )


def run(name: str) -> BenchReport:
    """Run one benchmark by its name."""
    report = importlib.import_module(f"tests.bench.{name}").run()
    if not isinstance(report, BenchReport):
        msg = f"tests.bench.{name}.run() gave {type(report).__name__}, not a BenchReport"
        raise TypeError(msg)
    return report


def main() -> int:
    """Print one report; a missed bar is said in it, not by the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("name", choices=names())
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    asked = parser.parse_args()
    report = run(asked.name)
    if asked.json:
        print(json.dumps(report.plain(), indent=2))
    else:
        for bar in report.bars:
            verdict = "holds" if bar.holds else "MISSED"
            print(f"{bar.name:32} {bar.value:10.4g} {bar.unit:6} {bar.op} {bar.bar:g}  {verdict}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
