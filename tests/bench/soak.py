"""What holds only if it holds many times over: fifty imports killed, each at another step.

A step is anything that reaches the disk (a file opened, written, flushed, renamed or removed, a
statement handed to SQLite). After each kill the library is opened, looked over and rebuilt; so
with back-ups, restoring and moving. And recording: killed fifty times at any moment, and twenty
minutes with a ball every four seconds.
"""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Collection
from pathlib import Path

from tests.bench._recording_soak import kills_50, memory_growth, strikes_300
from tests.bench.report import Bar, BenchReport, Detail
from tests.helpers.killed_backup import broken_backups, count_backup_steps, made_backed
from tests.helpers.killed_import import broken_promises, count_steps, made_job
from tests.helpers.killed_moving import Way, broken_moving, count_moving_steps, made_movable

KILLS = 50
SEED = 20_260_331
WAYS: tuple[Way, ...] = ("restore", "relocate")
Soaked = tuple[Bar, dict[str, Detail]]


def import_kills() -> Soaked:
    """Kill an import in each fiftieth of its steps."""
    dice = random.Random(SEED)
    lost: list[Detail] = []
    killed_at: list[Detail] = []
    with tempfile.TemporaryDirectory(prefix="soak ") as above:
        steps = count_steps(Path(above) / "whole")
        for number in range(KILLS):
            first, past = (n * steps // KILLS for n in (number, number + 1))
            step = dice.randint(1 + first, max(past, 1 + first))
            broken = broken_promises(made_job(Path(above) / str(number)), step)
            killed_at.append(step)
            if broken:
                lost.append(f"step {step}: {'; '.join(broken)}")
    bar = Bar(name="import_kills_lost", value=len(lost), unit="kills", op="<=", bar=0)
    details: dict[str, Detail] = {"kills": KILLS, "steps": steps, "killed_at": killed_at}
    return bar, {**details, "lost": lost}


def backup_kills() -> Soaked:
    """Kill a back-up in each fiftieth of its steps; restore what it left, and the next one."""
    dice = random.Random(SEED)
    lost: list[Detail] = []
    with tempfile.TemporaryDirectory(prefix="soak ") as above:
        steps = count_backup_steps(Path(above) / "whole")
        for number in range(KILLS):
            first, past = (n * steps // KILLS for n in (number, number + 1))
            step = dice.randint(1 + first, max(past, 1 + first))
            broken = broken_backups(made_backed(Path(above) / str(number)), step)
            if broken:
                lost.append(f"step {step}: {'; '.join(broken)}")
    bar = Bar(name="backup_kills_lost", value=len(lost), unit="kills", op="<=", bar=0)
    return bar, {"kills": KILLS, "steps": steps, "lost": lost}


def moving_kills() -> Soaked:
    """Kill restoring and moving, each in each twenty-fifth of its steps."""
    dice = random.Random(SEED)
    lost: list[Detail] = []
    counts: dict[str, Detail] = {}
    each = KILLS // len(WAYS)
    with tempfile.TemporaryDirectory(prefix="soak ") as above:
        for way in WAYS:
            steps = count_moving_steps(way, Path(above) / f"{way} whole")
            counts[f"{way}_steps"] = steps
            for number in range(each):
                first, past = (n * steps // each for n in (number, number + 1))
                step = dice.randint(1 + first, max(past, 1 + first))
                with tempfile.TemporaryDirectory(dir=above) as place:
                    broken = broken_moving(way, made_movable(Path(place)), step)
                if broken:
                    lost.append(f"{way}, step {step}: {'; '.join(broken)}")
    bar = Bar(name="moving_kills_lost", value=len(lost), unit="kills", op="<=", bar=0)
    return bar, {"kills": each * len(WAYS), **counts, "lost": lost}


SOAKS: tuple[Callable[[], Soaked], ...] = (
    import_kills,
    backup_kills,
    moving_kills,
    kills_50,
    strikes_300,
    memory_growth,
)
"""One bar each; a new one is added here."""


PARTS = tuple(soak.__name__ for soak in SOAKS)


def run(parts: Collection[str] = PARTS) -> BenchReport:
    """Run them all, one after the other, or these alone."""
    soaked = [(soak.__name__, *soak()) for soak in SOAKS if soak.__name__ in parts]
    return BenchReport(
        bench="soak",
        bars=tuple(bar for _, bar, _ in soaked),
        details={name: details for name, _, details in soaked},
    )
