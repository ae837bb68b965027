"""The body model: fetch it once, see whether it is there."""

from __future__ import annotations

from pathlib import Path

import click

from capturestation.cli.show import json_option, show, watching
from capturestation.station import models as station_models


@click.group()
def models() -> None:
    """The body model, which measures need; all else works without it."""


@models.command()
@click.option(
    "--from",
    "source",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    help="A file that was fetched otherwise: the package (.whl), or the model out of it.",
)
@json_option
def fetch(source: Path | None, as_json: bool) -> None:
    """Fetch the body model once: 36 MB through pip, of which 6 MB stay.

    Nothing of a recording ever leaves this computer: the model comes here, and runs here.
    """
    with watching() as watch:
        found = station_models.fetch_body_model(watch, source=source)
    show(found, as_json=as_json, text=_told(found))


@models.command(name="list")
@json_option
def list_models(as_json: bool) -> None:
    """Say whether the body model is there, and what runs it."""
    found = station_models.body_model()
    show(found, as_json=as_json, text=_told(found))


def _told(found: station_models.BodyModel) -> str:
    if not found.is_there:
        return found.why_not
    return f"The body model is there: {found.path}\nIt is run by {found.engine}."
