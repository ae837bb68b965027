"""Writing a library's rows anew from its folders; what was deleted stays deleted."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlite_utils import Database

from capturestation.errors import LibraryError, NotFoundError
from capturestation.folders import FACTS_FILE
from capturestation.library.check import Finding, Problem, swing_folders
from capturestation.library.connecting import connect, written
from capturestation.library.faults import explained
from capturestation.library.housing import find_places, held_by, set_token
from capturestation.library.places import Places, Subject
from capturestation.library.schema import refuse_newer_rows, upgrade
from capturestation.library.settle import take_from_folder
from capturestation.library.swap import clear_partial, finish_swap, swap_in
from capturestation.library.turn import Turn
from capturestation.records import Watch

_IN_ORDER = (Subject.STUDENT, Subject.LESSON, Subject.CALIBRATION)


@dataclass(frozen=True, slots=True, kw_only=True)
class RebuildReport:
    """What a rebuild took up, and what it had to leave where it lies."""

    students: int
    lessons: int
    swings: int
    calibrations: int
    left: tuple[Finding, ...]


def rebuild(folder: Path, watch: Watch, *, local: Path | None = None) -> RebuildReport:
    """Write the rows of a library anew from its folders; only while nobody has it open.

    The old rows are kept as `library.sqlite.old`. What can't be understood is left untouched and
    named in the report.

    Args:
        folder: The library's top folder.
        watch: Told the share of what was read.
        local: Where rows may lie that can't lie there; None is this account's own data folder.

    Raises:
        NotFoundError: If no library lies there.
        LibraryError: If somebody has it open, or a newer program wrote its rows.
        OutputError: If it can't be written; the old rows stand.
        CancelledError: If the watch stops it; the old rows stand.
    """
    places, _ = find_places(folder, local)
    if not places.has_content() and not places.database.exists():
        what = f"There is no library in {folder}."
        raise NotFoundError(what, try_next="Choose its folder.", subject=str(folder))
    places.make()
    turn = Turn(places.lock)
    try:
        if not turn.alone:
            raise LibraryError(
                f"{folder} is open in another program.",
                try_next="Close the other program, then rebuild.",
                subject=str(folder),
            )
        finish_swap(places)
        report = fill_anew(places, watch)
    finally:
        turn.release()
    return report


def fill_anew(places: Places, watch: Watch) -> RebuildReport:
    """Put new rows in the place of the old ones; for the one who has the library alone.

    Raises:
        LibraryError: If a newer program wrote the old ones.
        OutputError: If it can't be written; the old rows stand.
        CancelledError: If the watch stops it; the old rows stand.
    """
    refuse_newer_rows(places.database)
    try:
        report = _filled(places, watch)
    except BaseException:
        clear_partial(places)
        raise
    swap_in(places)
    return report


def _filled(places: Places, watch: Watch) -> RebuildReport:
    counts = dict.fromkeys(Subject, 0)
    left: list[Finding] = []
    with explained(places.rebuilding), closing(connect(places.rebuilding)) as db:
        upgrade(db, places.rebuilding)
        set_token(db, held_by(places) or 0)
        with written(db):
            for share, subject, key, path in _in_order(places):
                watch.report(share, f"reading {subject.value}s")
                finding = _taken_up(db, places, subject, key, path)
                if finding is None:
                    counts[subject] += 1
                else:
                    left.append(finding)
    return RebuildReport(
        students=counts[Subject.STUDENT],
        lessons=counts[Subject.LESSON],
        swings=counts[Subject.SWING],
        calibrations=counts[Subject.CALIBRATION],
        left=tuple(left),
    )


def _in_order(places: Places) -> Iterator[tuple[float, Subject, str, Path]]:
    # Swings lean on lessons and lessons on students.
    found = [
        (subject, path.stem, path)
        for subject in _IN_ORDER
        for path in sorted(places.folder_of(subject).glob("*.json"))
    ]
    found += [(Subject.SWING, path.name, path) for path in swing_folders(places.swings)]
    for number, (subject, key, path) in enumerate(found):
        yield number / len(found), subject, key, path


def _taken_up(
    db: Database, places: Places, subject: Subject, key: str, path: Path
) -> Finding | None:
    if subject is Subject.SWING and not (path / FACTS_FILE).exists():
        return Finding(problem=Problem.PARTIAL, path=path)
    try:
        if places.tombstone(key).exists():
            return Finding(problem=Problem.GONE, path=path)
        folder = path.relative_to(places.root).as_posix()
        with explained(places.rebuilding), written(db):
            take_from_folder(db, places, subject, key, folder)
    except LibraryError as error:
        return Finding(problem=Problem.UNREADABLE, path=path, said=error.what)
    except ValueError as error:
        return Finding(problem=Problem.UNREADABLE, path=path, said=str(error))
    return None
