"""Look through swings, find their moments, take their measures."""

from __future__ import annotations

from pathlib import Path

import click

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
from capturestation.errors import BadInputError
from capturestation.library import Library
from capturestation.records import Plain, Swing, to_plain
from capturestation.station import models
from capturestation.station.analysing import Analysed, Analyst
from capturestation.station.cache import cache_of
from capturestation.station.finding import LATEST, latest_or
from capturestation.swing.measures import sides_of

LOOKED_AT = "looked at"
UP_TO_DATE = "was up to date"


@click.command()
@click.argument("swing", default=LATEST)
@click.option("--lesson", help="All swings of a lesson instead.")
@click.option("--all", "whole", is_flag=True, help="All swings of the library instead.")
@click.option("--again", is_flag=True, help="Also those that are up to date.")
@library_option
@json_option
def analyse(
    swing: str, lesson: str | None, whole: bool, again: bool, library: Path, as_json: bool
) -> None:
    """Find the moments of a SWING and take its measures, each with its error.

    Needs the body model (models fetch); without it measures say so. Stop it with Ctrl-C: what is
    finished stays, and the same command goes on from there.
    """
    if lesson is not None and whole:
        raise click.UsageError("Give either --lesson or --all.")
    with opened(library) as book, watching() as watch:
        swings = _asked(book, swing, lesson, whole=whole)
        analyst = Analyst(library=book, cache=cache_of(book), model=models.body_model())
        found = analyst.analyse(swings, watch, again=again)
        why = analyst.model.why_not
    show([_plain(one) for one in found], as_json=as_json, text=_told(found, why))


def _asked(book: Library, swing: str, lesson: str | None, *, whole: bool) -> tuple[Swing, ...]:
    if whole:
        lessons = [one for student in book.students() for one in book.lessons(student.id)]
        return tuple(swing for one in lessons for swing in book.swings(one.id))
    if lesson is not None:
        found = book.swings(book.find_lesson(lesson).id)
        if not found:
            raise BadInputError("That lesson holds no swing.", try_next="Name another one.")
        return found
    return (latest_or(book, swing),)


def _plain(one: Analysed) -> dict[str, Plain]:
    return {
        "id": one.swing.id,
        "done": one.done,
        "marks": to_plain(one.swing.book.marks),
        "results": to_plain(one.swing.book.results),
        "said": list(one.said),
    }


def _told(found: tuple[Analysed, ...], why: str) -> str:
    if len(found) == 1:
        return "\n".join([*measures_page(found[0].swing), *found[0].said, why]).rstrip()
    done = sum(one.done for one in found)
    lines = [f"{counted(done, 'swing')} {LOOKED_AT}, {len(found) - done} {UP_TO_DATE}."]
    lines += [f"{one.swing.id}: {sentence}" for one in found for sentence in one.said]
    return "\n".join([*lines, why]).rstrip()


def measures_page(swing: Swing) -> list[str]:
    """All measures of a swing: values with their errors, and below what is missing and why."""
    rows = [
        (result.name, value_words(result.measured, sides_of(result.name)), result.measured.cause)
        for result in swing.book.results
        if result.measured is not None
    ]
    missing = [r for r in swing.book.results if r.measured is None]
    lines = [table(rows, ("measure", "value", "known as well as"))]
    reasons: dict[str, list[str]] = {}
    for result in missing:
        reasons.setdefault(result.why_missing, []).append(result.name)
    for reason, names in reasons.items():
        some = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
        lines.append(f"missing: {some}. {reason}")
    return lines
