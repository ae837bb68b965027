"""The demo: the whole way on the invented session that comes with the program."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.compare import about
from capturestation.cli.show import json_option, show, watching
from capturestation.cli.words import comparison_page
from capturestation.station import demo as station_demo

MARKED = (
    "The six moments that arms and shaft decide were marked by hand by the invented coach, from "
    f"the rendering's truth: {', '.join(station_demo.MARKED_BY_HAND)}."
)

NAMED = (
    "The first ball of today against the own best, as measured (put in on purpose: the pelvis "
    "slid from the target by the top, and still closed with the lead arm level on the way down):"
)


@click.command()
@click.option(
    "--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="Folder."
)
@click.option("--replace", is_flag=True, help="Write over an earlier demo in that folder.")
@json_option
def demo(out: Path, replace: bool, as_json: bool) -> None:
    """Walk the whole way on an invented lesson.

    Files in, one clip out: writes OUT/comparison.mp4, OUT/summary.json and the library OUT/library.
    """
    with watching() as watch:
        report = station_demo.run_demo(out, replace=replace, watch=watch)
    told = [
        comparison_page(report.comparison),
        "",
        NAMED,
        *(f"  {sentence}" for sentence in report.named),
        MARKED,
        about(report.clip),
        f"{report.summary}",
    ]
    show(report.plain(), as_json=as_json, text="\n".join(told))
