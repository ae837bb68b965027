"""Commands for the entry among the desktop's programs."""

from __future__ import annotations

import click

from capturestation.cli.show import json_option, show
from capturestation.station import desktop_entry


@click.group()
def desktop() -> None:
    """An entry with an icon among your programs, for Linux."""


@desktop.command("add")
@json_option
def add(as_json: bool) -> None:
    """Put an entry that opens the window among your programs.

    Only this account's folders are written to; `desktop remove` takes it back.
    """
    made = desktop_entry.add_entry()
    show(made, as_json=as_json, text=f"{made.path}\nIt starts {made.command} window.")


@desktop.command("remove")
@json_option
def remove(as_json: bool) -> None:
    """Take the entry and its icon away again."""
    gone = desktop_entry.remove_entry()
    show(gone, as_json=as_json, text=f"{gone.path} and its icon are gone.")
