"""`python -m tests.bench NAME --json` measures and prints one JSON object."""

from __future__ import annotations

import argparse
import importlib
import json
import sys
from collections.abc import Sequence
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


def parts_of(name: str) -> tuple[str, ...]:
    """What of a benchmark can be run alone."""
    return tuple(getattr(importlib.import_module(f"tests.bench.{name}"), "PARTS", ()))


def run(name: str, parts: Sequence[str] = ()) -> BenchReport:
    """Run one benchmark by its name, or parts of it alone."""
    measure = importlib.import_module(f"tests.bench.{name}").run
    report = measure(parts) if parts else measure()
    if not isinstance(report, BenchReport):
        msg = f"tests.bench.{name}.run() gave {type(report).__name__}, not a BenchReport"
        raise TypeError(msg)
    return report


def main() -> int:
    """Print one report; a missed bar is said in it, not by the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("name", choices=names())
    parser.add_argument("--json", action="store_true", help="print one JSON object")
    parser.add_argument("--part", action="append", default=[], help="of `soak`: this part alone")
    asked = parser.parse_args()
    if strange := set(asked.part) - set(parts_of(asked.name)):
        known = ", ".join(parts_of(asked.name)) or "none"
        parser.error(f"{asked.name} has no part {', '.join(sorted(strange))}; its parts: {known}")
    report = run(asked.name, asked.part)
    if asked.json:
        print(json.dumps(report.plain(), indent=2))
    else:
        for bar in report.bars:
            verdict = "holds" if bar.holds else "MISSED"
            print(f"{bar.name:32} {bar.value:10.4g} {bar.unit:6} {bar.op} {bar.bar:g}  {verdict}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
