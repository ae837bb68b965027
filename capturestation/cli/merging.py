"""Commands for a library that lies or grows in more than one place."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import click

from capturestation.cli.show import counted, json_option, library_option, opened, show, watching
from capturestation.library import MergeItem, MergeReport, Outcome, Side
from capturestation.station import merging
from capturestation.station.cache import cache_of


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--take",
    type=click.Choice([side.value for side in Side]),
    default=Side.OURS.value,
    show_default=True,
    help="Whose version stands where both tell one thing differently.",
)
@click.option("--ours", multiple=True, metavar="ID", help="For this one ours stands.")
@click.option("--theirs", multiple=True, metavar="ID", help="For this one theirs stands.")
@click.option("--dry-run", is_flag=True, help="Only say what would be done.")
@library_option
@json_option
def merge(
    folder: Path,
    take: str,
    ours: tuple[str, ...],
    theirs: tuple[str, ...],
    dry_run: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Bring the lessons of the library in FOLDER into this one.

    The other library is only read. Stopped at any point, what came is whole; run it again to
    bring the rest.
    """
    choices = merging.Choices(take=Side(take), ours=ours, theirs=theirs)
    with opened(library) as book, watching() as watch:
        report = merging.merge(book, folder, choices, watch, dry_run=dry_run)
        # What was deleted there and now here is not to be looked at any more either.
        cache_of(book).sweep(book)
    show(report, as_json=as_json, text=_page(report))


def _page(report: MergeReport) -> str:
    came = Counter(item.subject.value for item in report.of(Outcome.NEW))
    new = ", ".join(counted(n, what) for what, n in came.items()) or "nothing new"
    head = "Would bring in" if report.dry_run else "Brought in"
    lines = [f"{head}: {new}. The same on both sides: {report.same}."]
    for item in report.items:
        if item.outcome is not Outcome.NEW or item.said:
            lines += _item_lines(item)
    return "\n".join(lines)


def _item_lines(item: MergeItem) -> list[str]:
    why = f": {item.said}" if item.said else ""
    lines = [f"{item.subject} {item.id}, {item.outcome}{why}"]
    for told in item.differences:
        lines.append(f"    {told.field}")
        lines.append(f"        ours    {_text(told.ours)}")
        lines.append(f"        theirs  {_text(told.theirs)}")
    return lines


def _text(value: object) -> str:
    return "nothing" if value in (None, "", []) else json.dumps(value, ensure_ascii=False)


@click.command()
@click.option(
    "--apart/--beside",
    default=None,
    help="Keep it on this computer always, or beside the folders where their disk allows it.",
)
@library_option
@json_option
def rows(apart: bool | None, library: Path, as_json: bool) -> None:
    """Say where the library's database lies, and why there.

    On a network disk or in a folder that a program keeps the same on several computers it lies
    on this computer instead. Not every such folder can be told by itself: say --apart then.
    """
    if apart is not None:
        merging.keep_rows_apart(library, apart)
    with opened(library) as book:
        found = merging.housing(book)
    show(found, as_json=as_json, text=f"{found.rows}\nIt lies {found.why}.")
