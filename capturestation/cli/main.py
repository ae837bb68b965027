"""The root of the commands: errors in one sentence, exit codes, the stop key."""

from __future__ import annotations

import errno
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import suppress
from types import FrameType

import click

from capturestation import __version__
from capturestation.cli import (
    analyse,
    backing_up,
    care,
    checks,
    compare,
    demo,
    desktop,
    doctor,
    going_home,
    keeping,
    lessons,
    marks,
    measuring,
    merging,
    models,
    record,
    students,
    swings,
    weeks,
)
from capturestation.cli.parameters import Text
from capturestation.cli.say import (
    UnheardError,
    json_text,
    not_printed,
    put,
    put_aside,
    speak_plainly,
)
from capturestation.cli.show import LISTENING, STOP
from capturestation.cli.window import Faces, window
from capturestation.errors import CancelledError, OutputError, StationError
from capturestation.records import Plain

AT_ONCE = "What was half done is finished or taken back when the library is opened next."


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="capturestation")
def root() -> None:
    """Keep golf swings from two angles on one clock; compare a student with himself.

    Exit codes: 0 done, 1 a fault of this program, 2 the command was mistyped, 3 a file can't be
    used, 4 not in the library, 5 refused, 6 can't be written, 7 trouble with the library,
    8 not to be had from the net, 130 stopped.
    """


for group in (
    students.students,
    lessons.lessons,
    swings.swings,
    marks.marks,
    models.models,
    checks.checks,
    care.calibrations,
    backing_up.backup,
    desktop.desktop,
):
    root.add_command(group)
for command in keeping.COMMANDS:
    swings.swings.add_command(command)
for command in measuring.COMMANDS:
    care.calibrations.add_command(command)
for command in (
    demo.demo,
    record.record,
    doctor.doctor,
    swings.star,
    swings.offset,
    analyse.analyse,
    compare.compare,
    compare.clip,
    going_home.handout,
    weeks.weeks,
    care.cameras,
    care.check,
    care.rebuild,
    care.completion,
    merging.merge,
    merging.rows,
    backing_up.relocate,
    window,
):
    root.add_command(command)


def commands(command: click.Command) -> Iterator[click.Command]:
    """A command and all below it."""
    yield command
    if isinstance(command, click.Group):
        for below in command.commands.values():
            yield from commands(below)


for command in commands(root):
    for parameter in command.params:
        if isinstance(parameter.type, click.types.StringParamType):
            parameter.type = Text()

UNHEARD = 141
"""What shells know as the exit code of a program whose reader has left."""


def run(arguments: Sequence[str], faces: Faces | None = None) -> int:
    """Run one command line.

    Args:
        arguments: The words after the program's name.
        faces: What a command may open beside the terminal; None for nothing.

    Returns:
        The exit code: 0, 2 for a mistyped command, or the error's own.
    """
    STOP.clear()
    speak_plainly()
    as_json = "--json" in arguments
    before = signal.signal(signal.SIGINT, _ask_to_stop)
    try:
        outcome = _outcome(arguments, faces)
    except StationError as error:
        return _say(error, as_json=as_json)
    except click.exceptions.Exit as left:
        return left.exit_code
    except UnheardError:
        return UNHEARD
    except (click.Abort, KeyboardInterrupt):
        return _say(CancelledError(try_next=AT_ONCE), as_json=as_json)
    except click.ClickException as error:
        if as_json:
            _say_json("UsageError", error.format_message(), _help_words(error), "")
        with suppress(OSError):
            error.show()
        return error.exit_code
    finally:
        signal.signal(signal.SIGINT, before)
    return outcome if isinstance(outcome, int) else 0


_WAYS = (
    ("replaced", "--replace"),
    ("contact by hand", "--contact-at VIEW=SECONDS"),
    ("without merging", "--dry-run"),
    ("hand it in as a file", "--from FILE"),
)
# Below, errors are worded for any face of the program; here is how this one is told the same.


def _outcome(arguments: Sequence[str], faces: Faces | None) -> object:
    before = sys.stdout
    try:
        return root.main(
            list(arguments), prog_name="capturestation", standalone_mode=False, obj=faces
        )
    except SystemExit as error:
        # A page of help whose reader has left ends so, with another stream put in the place of
        # this one; completing a word only ends.
        if sys.stdout is not before:
            raise UnheardError from error
        raise
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        raise not_printed(error) from error


def _say(error: StationError, *, as_json: bool) -> int:
    ways = [f"Here: {option}." for words, option in _WAYS if words in error.try_next]
    try_next = " ".join([error.try_next, *ways])
    if as_json:
        _say_json(type(error).__name__, error.what, try_next, error.subject)
    put_aside(f"{error.what}\n{try_next}")
    return error.exit_code


def _say_json(error: str, what: str, try_next: str, subject: str) -> None:
    told: dict[str, Plain] = {"error": error, "what": what, "try": try_next, "subject": subject}
    # The code and the sentence beside it tell the rest.
    with suppress(UnheardError, OutputError):
        put(json_text(told))


def _help_words(error: click.ClickException) -> str:
    context = error.ctx if isinstance(error, click.UsageError) else None
    return f"See {context.command_path if context else 'capturestation'} --help."


def _ask_to_stop(_signal: int, _frame: FrameType | None) -> None:
    """The first stop key lets a job undo what it began; another, or one elsewhere, is at once."""
    if STOP.is_set() or not LISTENING.is_set():
        raise KeyboardInterrupt
    STOP.set()
