"""The root of the commands: near misses, errors in one sentence, exit codes."""

from __future__ import annotations

import difflib
import json
import signal
import sys
from collections.abc import Sequence
from types import FrameType

import click

from capturestation import __version__
from capturestation.cli import care, compare, demo, lessons, marks, merging, students, swings
from capturestation.cli.show import STOP
from capturestation.errors import StationError


class Commands(click.Group):
    """A group that offers the nearest command where a name is mistyped."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which ones are near."""
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            near = difflib.get_close_matches(args[0], self.list_commands(ctx), n=2, cutoff=0.5)
            if near:
                hint = f"{error.message} Did you mean {' or '.join(near)}?"
                raise click.UsageError(hint, ctx) from error
            raise


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="capturestation")
def root() -> None:
    """Record golf lessons from two angles on one clock and compare a student with himself.

    Exit codes: 0 done, 1 a fault of this program, 2 the command was mistyped, 3 a file can't be
    used, 4 not in the library, 5 refused, 6 can't be written, 7 trouble with the library,
    130 stopped.
    """


for group in (students.students, lessons.lessons, swings.swings, marks.marks, care.calibrations):
    root.add_command(group)
for command in (
    demo.demo,
    swings.star,
    swings.offset,
    compare.compare,
    compare.clip,
    care.check,
    care.rebuild,
    care.completion,
    merging.merge,
    merging.rows,
):
    root.add_command(command)


def run(arguments: Sequence[str]) -> int:
    """Run one command line.

    Returns:
        The exit code: 0, click's 2 for a mistyped command, or the error's own.
    """
    STOP.clear()
    before = signal.signal(signal.SIGINT, _ask_to_stop)
    try:
        outcome = root.main(list(arguments), prog_name="capturestation", standalone_mode=False)
    except StationError as error:
        _say(error, as_json="--json" in arguments)
        return error.exit_code
    except click.exceptions.Exit as left:
        return left.exit_code
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped.", err=True)
        return 130
    except click.ClickException as error:
        error.show()
        return error.exit_code
    finally:
        signal.signal(signal.SIGINT, before)
    return outcome if isinstance(outcome, int) else 0


def _say(error: StationError, *, as_json: bool) -> None:
    if as_json:
        told = {"error": type(error).__name__, "what": error.what, "try": error.try_next}
        click.echo(json.dumps({**told, "subject": error.subject}))
    sys.stdout.flush()
    click.echo(f"{error.what}\n{error.try_next}", err=True)


def _ask_to_stop(_signal: int, _frame: FrameType | None) -> None:
    """The first stop key lets the job undo what it began; the second stops at once."""
    if STOP.is_set():
        raise KeyboardInterrupt
    STOP.set()
