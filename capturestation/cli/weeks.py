"""The command that looks over a student's lessons."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.parameters import Folder
from capturestation.cli.show import (
    counted,
    json_option,
    library_option,
    opened,
    show,
    table,
    watching,
)
from capturestation.compare.differences import value_words
from capturestation.compare.weeks import SPREAD_UNKNOWN
from capturestation.records import SwingKind
from capturestation.station.weeks import NEVER, Weeks, since_words, weeks_of, write_weeks

_KINDS = [kind.value for kind in SwingKind if kind not in NEVER]


@click.command()
@click.argument("student")
@click.option("--club", help="One of the group of clubs; else the last swing's.")
@click.option("--kind", type=click.Choice(_KINDS), help="Kind of swing; else the last swing's.")
@click.option("--out", type=Folder(), help="Folder for a table (CSV) and charts (PNG and SVG).")
@library_option
@json_option
def weeks(
    student: str,
    club: str | None,
    kind: str | None,
    out: Path | None,
    library: Path,
    as_json: bool,
) -> None:
    """Look over a STUDENT's lessons: each measure, what changed since the first and the best.

    Of one group of clubs and one kind of swing; drills and rehearsals never count.
    """
    with opened(library) as book, watching() as watch:
        asked = SwingKind(kind) if kind else None
        found = weeks_of(book, student, club=club, kind=asked)
        written = write_weeks(found, out, book, watch) if out is not None else ()
    files = [str(path) for path in written]
    value = {"weeks": found.plain(), "files": [Path(file).as_posix() for file in files]}
    told = [_page(found), *([counted(len(files), "file") + f" in {out}."] if files else [])]
    show(value, as_json=as_json, text="\n".join(told))


def _page(found: Weeks) -> str:
    days = sorted({point.on for one in found.courses for point in one.points})
    head = f"{found.club}, {found.kind}: {counted(found.swings, 'swing')} in "
    head += counted(len(days), "measured lesson") + "."
    rows = [
        (
            one.name,
            value_words(one.points[0].mean),
            value_words(one.points[-1].mean) if len(one.points) > 1 else "",
            *since_words(one),
        )
        for one in found.courses
    ]
    if any(one.spread is None for one in found.courses):
        head += f"\n{SPREAD_UNKNOWN}"
    return f"{head}\n\n{table(rows, ('measure', 'first', 'last', 'since first', 'since best'))}"
