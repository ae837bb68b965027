"""The command that makes all that a student takes home."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click

from capturestation.cli.compare import HOLD, NOW, OVER, SLOW, THEN
from capturestation.cli.parameters import Folder
from capturestation.cli.say import put_aside
from capturestation.cli.show import json_option, library_option, opened, show, watching
from capturestation.drawing.code_square import code_words
from capturestation.drawing.layout import LayoutName
from capturestation.errors import BadInputError
from capturestation.station.boards import Paper
from capturestation.station.clips import ClipWish
from capturestation.station.going_home import HomeWish, take_home
from capturestation.station.laying import Over
from capturestation.station.nearby import Nearby

_PAPERS = ("A4", "Letter")
_LENT = ("clip", "page", "web")
# In the order of what is made.
_LOOK_S = 0.2


@click.command()
@NOW
@THEN
@click.option("--out", type=Folder(), required=True, help="Folder for the files.")
@click.option("--upright", is_flag=True, help="A clip that fills a phone held upright.")
@click.option("--alone", is_flag=True, help="This swing without an earlier one beside it.")
@OVER
@SLOW
@HOLD
@click.option(
    "--paper",
    type=click.Choice(_PAPERS, case_sensitive=False),
    default=_PAPERS[0],
    show_default=True,
    help="What the page is printed on.",
)
@click.option("--note", default="", help="What you write to the student.")
@click.option("--practise", multiple=True, help="One thing to practise; up to two.")
@click.option("--checks", is_flag=True, help="Let the page say what has to work.")
@click.option("--weeks", is_flag=True, help="Let the page show its focus over the weeks.")
@click.option(
    "--nearby",
    type=click.Choice(_LENT),
    help="Lend one of them to a phone on this network, once, for ten minutes at most.",
)
@click.option("--replace", is_flag=True, help="Write over files that are there.")
@library_option
@json_option
def handout(
    now: str,
    then: str | None,
    out: Path,
    upright: bool,
    alone: bool,
    over: bool,
    slow: int,
    hold: float,
    paper: str,
    note: str,
    practise: tuple[str, ...],
    checks: bool,
    weeks: bool,
    nearby: str | None,
    replace: bool,
    library: Path,
    as_json: bool,
) -> None:
    """Make all that the student takes home of NOW beside THEN.

    A clip, a web page that plays both swings by itself, and a page of two sides to print.
    NOW is the latest swing unless named, THEN the student's own best. Refused without the consent
    to sharing; of somebody who may be under 18 no name goes along.
    """
    wish = HomeWish(
        clip=ClipWish(
            layout=_layout(upright=upright, alone=alone, over=over),
            slow=Fraction(1, slow),
            hold_s=hold,
            note=note,
            over=Over() if over else None,
        ),
        paper=Paper(paper),
        practise=practise,
        with_checks=checks,
        with_weeks=weeks,
        replace=replace,
    )
    with opened(library) as book, watching() as watch:
        made = take_home(book, now, then, wish, out, watch)
    if nearby is not None:
        _lend(made.files[_LENT.index(nearby)])
    lines = [f"{path}  {path.stat().st_size / 1e6:.1f} MB" for path in made.files]
    show(made.plain(), as_json=as_json, text="\n".join([*lines, *made.said]))


def _layout(*, upright: bool, alone: bool, over: bool) -> LayoutName:
    """Two fields where today's pictures show all there is, else four."""
    if alone and over:
        raise BadInputError(
            "A swing alone has no other laid over it.", try_next="Leave out --alone or --over."
        )
    shape = LayoutName.BOTH_ANGLES if alone or over else LayoutName.ALL_FOUR
    return LayoutName(f"{shape}-upright") if upright else shape


def _lend(file: Path) -> None:
    """Lend a file until it was taken, its time is over, or the stop key is pressed."""
    with Nearby(file) as door:
        put_aside(code_words(door.address))
        put_aside(f"{door.address}\nOnce, for ten minutes at most; Ctrl-C shuts it.")
        with watching() as watch:
            while not door.wait(_LOOK_S):
                watch.report(0.0, f"waiting for a phone, {door.left_s:.0f} s left")
        put_aside("The phone has it." if door.is_taken else "Nobody took it in ten minutes.")
