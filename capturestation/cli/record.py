"""Record a lesson: every struck ball is kept by itself and goes into it."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Unpack

import click

from capturestation.cli.parameters import Number
from capturestation.cli.recorded_from import SourceOptions, bay_of, source_options
from capturestation.cli.recording_words import Teller
from capturestation.cli.show import (
    STOP,
    counted,
    json_option,
    library_option,
    opened,
    show,
    watching,
)
from capturestation.errors import BadInputError, StationError
from capturestation.library import Library
from capturestation.records import Plain, SwingKind, to_plain
from capturestation.station.bay.person import Person
from capturestation.station.bay.setting import capture_setting
from capturestation.station.bay.sitting import Ends, sit
from capturestation.station.intake import named_lesson
from capturestation.station.people import add_lesson, refuse_without_consent, today
from capturestation.station.taking_in import take_in_all

KINDS = click.Choice([kind.value for kind in SwingKind])


@click.command()
@click.argument("student")
@click.option("--club", required=True, help="As you say it: 7 iron, driver, sand wedge ...")
@click.option("--kind", type=KINDS, default=SwingKind.FULL.value, show_default=True)
@click.option("--lesson", help="Its id; else the student's lesson of today.")
@click.option("--until", type=click.IntRange(1, 1000), metavar="BALLS", help="End after so many.")
@click.option("--for-s", type=Number(1, 86_400), metavar="SECONDS", help="End after so long.")
@source_options
@library_option
@json_option
def record(
    student: str,
    club: str,
    kind: str,
    lesson: str | None,
    until: int | None,
    for_s: float | None,
    library: Path,
    as_json: bool,
    **asked: Unpack[SourceOptions],
) -> None:
    """Record a STUDENT's lesson until Ctrl-C: each struck ball is kept by itself.

    Nobody is filmed against a no, and nobody under 18 without both consents. A ball that is struck
    when the end is asked for is finished first.
    """
    bay = bay_of(asked)
    if not bay.has_cameras:
        raise BadInputError(
            "No camera is set up.",
            try_next="Name one: --camera face-on=ADDRESS; or see what is there: doctor; or --demo.",
        )
    teller = Teller(aside=as_json)
    with opened(library) as book:
        person, is_new = _person(book, student, lesson, club, SwingKind(kind))
        setting = replace(capture_setting(bay, book.inbox), preview_px=0)
        with watching() as watch:
            earlier = take_in_all(book, watch)
            for happened in sit(
                book, person, setting, Ends(balls=until, after_s=for_s), is_over=STOP.is_set
            ):
                teller.tell(happened)
        if is_new:
            _withdraw_empty(book, person, teller)
    swings = (*earlier.swings, *teller.swings)
    value: dict[str, Plain] = {
        "lesson": to_plain(person.lesson),
        "swings": [to_plain(swing) for swing in swings],
        "lost": list(teller.lost),
        "left_in_inbox": [str(one.folder) for one in (*earlier.left, *teller.left)],
    }
    text = f"Recorded: {counted(len(swings), 'swing')} in the lesson of {person.lesson.on}."
    if teller.lost:
        text += f" Lost: {counted(len(teller.lost), 'ball')}."
    show(value, as_json=as_json, text=text)


def _person(
    book: Library, student: str, lesson: str | None, club: str, kind: SwingKind
) -> tuple[Person, bool]:
    """Who is hitting in which lesson, and whether that was opened for it."""
    who = book.find_student(student)
    refuse_without_consent(who, today())
    known = book.lesson_on(who.id, today()) if lesson is None else named_lesson(book, who, lesson)
    found = known or add_lesson(book, who.id)
    return Person(student=who, lesson=found, club=club, kind=kind), known is None


def _withdraw_empty(book: Library, person: Person, teller: Teller) -> None:
    """A lesson that was opened for balls that never came goes again."""
    if not teller.swings and not teller.left:
        with suppress(StationError):
            book.withdraw_lesson(person.lesson.id)
