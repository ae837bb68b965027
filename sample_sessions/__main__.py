"""`python -m sample_sessions`: render the invented swings, clips and truth, into a folder."""

from __future__ import annotations

import json
from pathlib import Path

import click

from capturestation.errors import OutputError, StationError
from sample_sessions.film import Shot, find_swing, shot_of
from sample_sessions.session import VIEWS, SampleSession, load_session
from sample_sessions.side_by_side import Into, render_all


@click.command(name="sample_sessions")
@click.option(
    "--out",
    "folder",
    required=True,
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the clips; made if it isn't there. Clips already in it are replaced.",
)
@click.option("--only", multiple=True, metavar="NAME", help="Only this swing; may be repeated.")
@click.option(
    "--frames", type=click.IntRange(min=1), help="Only so many frames of each clip, for a trial."
)
@click.option(
    "--fresh", is_flag=True, help="Render even what the cache holds of the same code and values."
)
@click.option("--json", "as_json", is_flag=True, help="Say what was made as JSON.")
def main(
    folder: Path, only: tuple[str, ...], frames: int | None, fresh: bool, as_json: bool
) -> None:
    """Render the invented swings: two clips each, with sound, and what is true of them.

    One process a core. Ctrl-C stops all; whole clips stay, no partial one does.
    """
    try:
        shots = _chosen(load_session(), only, frames)
        _make(folder)
        count = 0

        def say(path: Path) -> None:
            nonlocal count
            count += 1
            click.echo(f"{count} of {len(shots)}: {path.name}", err=True)

        made = render_all(shots, Into(folder=folder, fresh=fresh), say, _Progress())
    except StationError as error:
        click.echo(f"Error: {error}", err=True)
        raise SystemExit(error.exit_code) from error
    if as_json:
        click.echo(json.dumps({"clips": [str(path) for path in made]}, indent=1))


class _Progress:
    """Says every tenth of the whole."""

    def __init__(self) -> None:
        self._said = 0

    def report(self, share: float, words: str) -> None:
        """Say it once it is reached."""
        tenth = int(10.0 * share)
        if self._said < tenth < 10:
            self._said = tenth
            click.echo(f"{words}: {10 * tenth} %", err=True)


def _chosen(session: SampleSession, only: tuple[str, ...], frames: int | None) -> list[Shot]:
    swings = [find_swing(session, name) for name in only] or session.swings
    return [shot_of(swing, view, frames=frames) for swing in swings for view in VIEWS]


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"The folder {folder} can't be made: {error.strerror}.",
            try_next="Choose another place.",
            subject=str(folder),
        ) from error


if __name__ == "__main__":
    main()
