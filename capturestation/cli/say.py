"""What goes to the terminal or the next program, whatever is at the other end."""

from __future__ import annotations

import errno
import io
import json
import os
import sys
from contextlib import suppress

import click

from capturestation.errors import OutputError
from capturestation.records import Plain


class UnheardError(Exception):
    """Whoever read the output has left, such as `head` after its lines; no fault of anybody."""


def speak_plainly() -> None:
    """Let names that are no text, as files may have, be printed as what they are made of."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def put(text: str) -> None:
    """Print for a person or the next program.

    Raises:
        UnheardError: If nobody reads any more.
        OutputError: If it can't be written, such as into a file on a full disk.
    """
    try:
        click.echo(text)
    except BrokenPipeError as error:
        _leave_stdout()
        raise UnheardError from error
    except OSError as error:
        raise not_printed(error) from error


def not_printed(error: OSError) -> OutputError:
    """The error for an answer that found no room; what is left of it is dropped."""
    _leave_stdout()
    full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
    why = "the disk is full" if full else error.strerror or str(error)
    return OutputError(
        f"The answer could not be printed: {why}.",
        try_next="What the command did is done; send its output elsewhere.",
    )


def put_aside(text: str, *, line_end: bool = True) -> None:
    """Print for the person only, beside the output; if nobody is there, nobody is."""
    with suppress(OSError):
        click.echo(text, err=True, nl=line_end)


def json_text(value: Plain, *, indent: int | None = None) -> str:
    r"""JSON with letters as they are; only where a file's name is no text, escaped.

    Example:
        >>> print(json_text("Zoë"), json_text("\udcff"))
        "Zoë" "\udcff"
    """
    text = json.dumps(value, ensure_ascii=False, indent=indent)
    try:
        text.encode()
    except UnicodeEncodeError:
        return json.dumps(value, ensure_ascii=True, indent=indent)
    return text


def _leave_stdout() -> None:
    # What is still held back would fail once more, and be told, when the program ends.
    with suppress(OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
