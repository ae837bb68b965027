"""The root of the commands: errors in one sentence, exit codes, the stop key."""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Sequence
from types import FrameType

import click

from capturestation import __version__
from capturestation.cli import care, compare, demo, lessons, marks, students, swings
from capturestation.cli.show import LISTENING, STOP
from capturestation.errors import CancelledError, StationError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="capturestation")
def root() -> None:
    """Keep golf swings from two angles on one clock; compare a student with himself.

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
):
    root.add_command(command)


def run(arguments: Sequence[str]) -> int:
    """Run one command line.

    Returns:
        The exit code: 0, 2 for a mistyped command, or the error's own.
    """
    STOP.clear()
    as_json = "--json" in arguments
    before = signal.signal(signal.SIGINT, _ask_to_stop)
    try:
        outcome = root.main(list(arguments), prog_name="capturestation", standalone_mode=False)
    except StationError as error:
        return _say(error, as_json=as_json)
    except click.exceptions.Exit as left:
        return left.exit_code
    except (click.Abort, KeyboardInterrupt):
        return _say(CancelledError(), as_json=as_json)
    except click.ClickException as error:
        if as_json:
            _say_json("UsageError", error.format_message(), _help_words(error), "")
        error.show()
        return error.exit_code
    finally:
        signal.signal(signal.SIGINT, before)
    return outcome if isinstance(outcome, int) else 0


def _say(error: StationError, *, as_json: bool) -> int:
    if as_json:
        _say_json(type(error).__name__, error.what, error.try_next, error.subject)
    click.echo(f"{error.what}\n{error.try_next}", err=True)
    return error.exit_code


def _say_json(error: str, what: str, try_next: str, subject: str) -> None:
    told = {"error": error, "what": what, "try": try_next, "subject": subject}
    click.echo(json.dumps(told, ensure_ascii=False))
    sys.stdout.flush()


def _help_words(error: click.ClickException) -> str:
    context = error.ctx if isinstance(error, click.UsageError) else None
    return f"See {context.command_path if context else 'capturestation'} --help."


def _ask_to_stop(_signal: int, _frame: FrameType | None) -> None:
    """The first stop key lets a job undo what it began; another, or one elsewhere, is at once."""
    if STOP.is_set() or not LISTENING.is_set():
        raise KeyboardInterrupt
    STOP.set()
