"""`python -m sample_sessions.training`: draw training pictures, learn from them, export."""

from __future__ import annotations

import os
from pathlib import Path

import click

from sample_sessions.training.lesson import Folders, run
from sample_sessions.training.store import draw_all, jobs

_FOLDER = click.Path(file_okay=False, path_type=Path)


@click.group(name="sample_sessions.training")
def main() -> None:
    """Make the club network anew; see RECIPE.md beside this."""


@main.command()
@click.option("--out", "folder", required=True, type=_FOLDER, help="Folder for the pictures.")
@click.option("--rows", default=27_000, show_default=True, help="Rows of pictures to draw.")
@click.option("--held-out", is_flag=True, help="Draw from the seeds that are for testing only.")
@click.option("--processes", default=os.cpu_count() or 1, help="Side by side; all cores.")
def draw(folder: Path, rows: int, held_out: bool, processes: int) -> None:
    """Draw rows of pictures with their truth."""
    folder.mkdir(parents=True, exist_ok=True)
    to_do = jobs(folder, rows, held_out=held_out)
    for count, path in enumerate(draw_all(to_do, processes), 1):
        click.echo(f"{count} of {len(to_do)}: {path.name}", err=True)


@main.command()
@click.option("--pictures", required=True, type=_FOLDER, help="Folder to learn from.")
@click.option("--held-out", "tested", required=True, type=_FOLDER, help="Folder to test with.")
@click.option("--minutes", default=9.0, show_default=True, help="How long to learn.")
@click.option("--most-rows", default=27_000, show_default=True, help="Rows kept on the card.")
@click.option(
    "--out", "folder", required=True, type=_FOLDER, help="Folder for network and figures."
)
def learn(pictures: Path, tested: Path, minutes: float, most_rows: int, folder: Path) -> None:
    """Learn from drawn pictures on a graphics card and export; files may still be coming."""
    folder.mkdir(parents=True, exist_ok=True)
    figures = run(Folders(pictures=pictures, tested=tested, out=folder), minutes, most_rows, _say)
    _say(figures)


def _say(text: str) -> None:
    click.echo(text, err=True)


if __name__ == "__main__":
    main()
