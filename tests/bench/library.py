"""How fast a library of a hundred thousand swings answers what a coach asks between two balls.

Warm: the same open library asked again. Cold: a library opened anew, after the system was told to
forget its file, so that each answer comes from the disk. A bar holds the slower of the two, and of
several kinds of question the slowest kind.
"""

from __future__ import annotations

import itertools
import os
import random
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

from capturestation.compare.pairing import own_best
from capturestation.errors import ComparisonRefusedError, NotFoundError
from capturestation.library import Library
from capturestation.records import StudentId, SwingId
from capturestation.station.comparing import pick
from tests.bench._big_library import LESSONS, STUDENTS, SWINGS, Big, made_big
from tests.bench.report import Bar, BenchReport, Detail

WARM = 200
COLD = 40
SEED = 20_260_402
BAR_MS = 50.0
Ask = Callable[[Library], object]


def run() -> BenchReport:
    """Write the library, ask, ask again without indexes."""
    with tempfile.TemporaryDirectory(prefix="big library ") as above:
        started = time.perf_counter()
        big = made_big(Path(above) / "library", SEED)
        written_s = time.perf_counter() - started
        opening = _opening(big)
        bars = [_bar("open", [opening["cold"], opening["warm"]])]
        details: dict[str, Detail] = {"open": _said(opening)}
        with Library.open(big.folder) as library:
            rows = _counts(library)
        for name, kinds in _questions(big).items():
            found = {kind: _asked(big, asks) for kind, asks in kinds.items()}
            bars.append(_bar(name, [t for times in found.values() for t in times.values()]))
            details[name] = {kind: _said(times) for kind, times in found.items()}
        details["otherwise"] = _otherwise(big)
        size_mb = (big.folder / "library.sqlite").stat().st_size / 1e6
    return BenchReport(
        bench="library",
        bars=tuple(bars),
        details={
            "rows": rows,
            "database_mb": round(size_mb, 1),
            "written_s": round(written_s, 1),
            "warm_repetitions": WARM,
            "cold_repetitions": COLD,
            "load_of_the_machine": _load(),
            **details,
        },
    )


def _load() -> Detail:
    """How many processes wanted a core in the last one, five and fifteen minutes."""
    return [round(n, 1) for n in os.getloadavg()] if hasattr(os, "getloadavg") else None


def _bar(name: str, times: list[list[float]]) -> Bar:
    value = max(_p95(of_one) for of_one in times)
    return Bar(name=f"{name}_p95_ms", value=value, unit="ms", op="<=", bar=BAR_MS)


def _p95(times_ms: list[float]) -> float:
    return sorted(times_ms)[int(0.95 * (len(times_ms) - 1) + 0.5)]


def _said(times: dict[str, list[float]]) -> dict[str, Detail]:
    return {
        f"{state}_{what}_ms": round(value, 2)
        for state, of_state in times.items()
        for what, value in (
            ("p50", sorted(of_state)[len(of_state) // 2]),
            ("p95", _p95(of_state)),
            ("worst", max(of_state)),
        )
    }


def _counts(library: Library) -> dict[str, Detail]:
    tables = ("students", "lessons", "swings", "recordings", "syncs", "marks", "results")
    return {t: int(str(library._rows(f"SELECT count(*) AS n FROM {t}")[0]["n"])) for t in tables}


def _timed(ask: Ask, library: Library) -> float:
    started = time.perf_counter()
    ask(library)
    return (time.perf_counter() - started) * 1e3


def _forget(folder: Path) -> None:
    """Ask the system to drop what it holds of the library's files in memory."""
    if not hasattr(os, "posix_fadvise"):
        return
    for path in folder.glob("library.*"):
        with path.open("rb") as file:
            os.fsync(file.fileno())
            os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)


def _opening(big: Big) -> dict[str, list[float]]:
    times: dict[str, list[float]] = {"cold": [], "warm": []}
    for state, of_state in times.items():
        for _ in range(COLD):
            if state == "cold":
                _forget(big.folder)
            started = time.perf_counter()
            library = Library.open(big.folder)
            of_state.append((time.perf_counter() - started) * 1e3)
            library.close()
    return times


def _asked(big: Big, asks: Iterator[Ask]) -> dict[str, list[float]]:
    """Ask one kind of question, each time about something else."""
    cold = []
    for ask in itertools.islice(asks, COLD):
        _forget(big.folder)
        with Library.open(big.folder) as library:
            cold.append(_timed(ask, library))
    with Library.open(big.folder) as library:
        warm = [_timed(ask, library) for ask in itertools.islice(asks, WARM)]
    return {"cold": cold, "warm": warm}


def _questions(big: Big) -> dict[str, dict[str, Iterator[Ask]]]:
    """The kinds of question by bar; each goes on for ever."""
    dice = random.Random(SEED + 1)
    return {
        "newest_lesson": {
            "of_all": itertools.repeat(_newest_of_all),
            "of_a_student": (_newest_of(dice.choice(big.students).id) for _ in itertools.count()),
        },
        "find": {
            "student_by_part": (
                _student(dice.choice(big.students).name.split()[1][:2]) for _ in itertools.count()
            ),
            "student_by_name": (
                _student(dice.choice(big.students).name) for _ in itertools.count()
            ),
            "no_such_student": (_student(f"Zq{n} Wx") for n in itertools.count()),
            "swing_by_start": (_swing(dice.choice(big.swing_ids)[:6]) for _ in itertools.count()),
            "no_such_swing": (_swing(f"0q{n:04}zzzz") for n in itertools.count()),
        },
        "own_best": {
            "of_a_swing": (_best(dice.choice(big.swing_ids)) for _ in itertools.count()),
        },
    }


def _newest_of_all(library: Library) -> None:
    lesson = library.newest_lessons(1)[0]
    library.student(lesson.student_id)
    assert library.swings(lesson.id)


def _newest_of(student: StudentId) -> Ask:
    def ask(library: Library) -> None:
        lessons = library.lessons(student)
        if lessons:
            assert library.swings(lessons[0].id)

    return ask


def _student(text: str) -> Ask:
    def ask(library: Library) -> None:
        library.find_students(text)
        with suppress(NotFoundError):
            library.find_student(text)

    return ask


def _swing(text: str) -> Ask:
    def ask(library: Library) -> None:
        with suppress(NotFoundError):
            library.find_swing(text)

    return ask


def _best(key: str) -> Ask:
    def ask(library: Library) -> None:
        with suppress(ComparisonRefusedError):
            pick(library, key, None)

    return ask


def _read_all(key: str) -> Ask:
    def ask(library: Library) -> None:
        now = library.swing(SwingId(key))
        with suppress(ComparisonRefusedError):
            own_best(now, library.swings_of(now.book.student_id))

    return ask


def _otherwise(big: Big) -> Detail:
    """What the same takes in other ways: all swings of a student read, and without indexes."""
    dice = random.Random(SEED + 2)
    keys = [dice.choice(big.swing_ids) for _ in range(20)]
    with Library.open(big.folder) as library:
        all_read = [_timed(_read_all(key), library) for key in keys]
        names = library._rows("SELECT name FROM sqlite_master WHERE type = 'index' AND sql > ''")
        for row in names:
            library._db.execute(f"DROP INDEX {row['name']}")
        bare = {
            "own_best": [_timed(_best(key), library) for key in keys],
            "newest_lesson": [_timed(_newest_of_all, library) for _ in keys],
            "no_such_swing": [_timed(_swing("0qzzzz"), library) for _ in keys],
        }
    return {
        "own_best_reading_all_swings_of_the_student_p95_ms": round(_p95(all_read), 1),
        "without_indexes_p95_ms": {name: round(_p95(times), 1) for name, times in bare.items()},
        "sizes": f"{STUDENTS} students, {LESSONS} lessons, {SWINGS} swings",
    }
