"""What the station and the recording process say to each other, one JSON object a line.

Owns the records of both directions and their plain form: `{"say": name, "with": record}`. A line
that can't be understood is an answer to whoever sent it, never an end.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime

from capturestation.errors import BadInputError
from capturestation.records import Plain, View, from_plain, to_plain
from capturestation.records.capture import (
    Candidate,
    CaptureSetting,
    Confirmed,
    Got,
    Health,
    Trigger,
    Windows,
)

LONGEST_LINE = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Configure:
    """Begin with these cameras; once."""

    setting: CaptureSetting


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """Keep every struck ball from now on.

    Args:
        ticket: Put beside each kept ball as it is; says to the station whose it is.
        keeps_unclear: Whether a ball is kept where the picture can't tell.
        keeps_swings: Whether a swing of which no ball is heard is kept as well: by its motion.
    """

    ticket: str
    keeps_unclear: bool = True
    keeps_swings: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Pause:
    """Keep nothing until ready again; what is struck already is finished."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepNow:
    """Keep a ball that nothing was heard of: a putt, a miss, a rehearsal.

    Args:
        back_ns: How long before now it was.
    """

    back_ns: int = 1_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeWindows:
    """Keep more or less of each ball from now on."""

    windows: Windows


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """Take a kept ball away that is still in the inbox."""

    id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bye:
    """Finish what is struck, then end."""


Command = Configure | Ready | Pause | KeepNow | ChangeWindows | Drop | Bye


@dataclass(frozen=True, slots=True, kw_only=True)
class Hello:
    """The process is there."""

    version: str
    pid: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Configured:
    """Cameras are being opened; windows as they hold now."""

    windows: Windows


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyNow:
    """Whether struck balls are kept from now on."""

    ready: bool
    ticket: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceUp:
    """A camera is there, and what it gives."""

    view: View
    got: Got


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceDown:
    """A camera is gone; it is tried again by itself."""

    view: View
    why: str
    try_next: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SoundState:
    """Whether the station hears, and by what."""

    hears: bool
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """Something that may be a strike."""

    candidate: Candidate


@dataclass(frozen=True, slots=True, kw_only=True)
class Ignored:
    """What was heard was no ball of ours."""

    at_host_ns: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Struck:
    """A ball is being kept."""

    id: str
    at_host_ns: int
    struck_at: datetime
    trigger: Trigger
    ticket: str
    confirmed: Confirmed | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAt:
    """One view of a replay.

    Args:
        view: Which.
        file: The file; gone again after the next ball but one.
        impact_media_ns: Impact on its clock.
    """

    view: View
    file: str
    impact_media_ns: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LookReady:
    """A struck ball can be looked at already, before all of it is kept."""

    id: str
    looks: tuple[LookAt, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A ball is kept: a finished folder in the inbox.

    Args:
        id: Its own.
        folder: Where.
        size_mb: Its size.
        after_ms: How long after the last picture that it holds.
        missing: Frames missing by their stamps, all views.
        said: What a coach should know.
    """

    id: str
    folder: str
    size_mb: float
    after_ms: float
    missing: int
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """A ball that was struck, or seemed to be, and is not kept.

    Args:
        struck_at: When, as well as is known.
        why: In one sentence.
        try_next: What to try.
        id: As it was said when struck; empty if it never was.
    """

    struck_at: datetime
    why: str
    try_next: str
    id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockSet:
    """The clock on the wall was set while it recorded; nothing is lost by it.

    Args:
        by_s: So many seconds forward; back below 0.
    """

    by_s: float

    @property
    def what(self) -> str:
        """In one sentence."""
        way = "forward" if self.by_s > 0 else "back"
        return f"The computer's clock went {abs(self.by_s):.0f} s {way}: it was set, or it slept."

    @property
    def try_next(self) -> str:
        """What to try."""
        return "Look whether it shows the right time; no ball is lost by it."


@dataclass(frozen=True, slots=True, kw_only=True)
class Doing:
    """How the station is doing."""

    health: Health


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """A small live picture, not turned.

    Args:
        view: Which.
        at_host_ns: When its frame came.
        rotation_deg: Clockwise turn that shows it upright.
        jpeg: Base64.
    """

    view: View
    at_host_ns: int
    rotation_deg: int
    jpeg: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """A command that was not done, and why."""

    what: str
    try_next: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Gone:
    """The last line: all that was struck is kept or said to be lost."""

    kept: int
    lost: int


Fact = (
    Hello
    | Configured
    | ReadyNow
    | SourceUp
    | SourceDown
    | SoundState
    | Heard
    | Ignored
    | Struck
    | LookReady
    | Kept
    | Lost
    | ClockSet
    | Doing
    | Preview
    | Refused
    | Gone
)

_COMMANDS: dict[str, type[Command]] = {
    "configure": Configure,
    "ready": Ready,
    "pause": Pause,
    "keep now": KeepNow,
    "windows": ChangeWindows,
    "drop": Drop,
    "bye": Bye,
}
_FACTS: dict[str, type[Fact]] = {
    "hello": Hello,
    "configured": Configured,
    "ready": ReadyNow,
    "source up": SourceUp,
    "source down": SourceDown,
    "sound": SoundState,
    "heard": Heard,
    "ignored": Ignored,
    "struck": Struck,
    "look": LookReady,
    "kept": Kept,
    "lost": Lost,
    "clock set": ClockSet,
    "health": Doing,
    "preview": Preview,
    "refused": Refused,
    "gone": Gone,
}
_NAMES = {kind: name for name, kind in (*_COMMANDS.items(), *_FACTS.items())}


def to_line(said: Command | Fact) -> str:
    r"""One line, with its end.

    Example:
        >>> to_line(KeepNow(back_ns=5))
        '{"say": "keep now", "with": {"back_ns": 5}}\n'
    """
    whole = {"say": _NAMES[type(said)], "with": to_plain(said)}
    return json.dumps(whole, ensure_ascii=False, allow_nan=False) + "\n"


def command_of(line: str) -> Command:
    """What a line of the station says.

    Raises:
        BadInputError: If it says nothing that is known.
    """
    name, record = _parts(line)
    try:
        return from_plain(_COMMANDS[name], record)
    except (KeyError, ValueError) as error:
        raise _unknown(line) from error


def fact_of(line: str) -> Fact:
    """What a line of the recording process says.

    Raises:
        BadInputError: If it says nothing that is known.
    """
    name, record = _parts(line)
    try:
        return from_plain(_FACTS[name], record)
    except (KeyError, ValueError) as error:
        raise _unknown(line) from error


def _parts(line: str) -> tuple[str, Plain]:
    if len(line) > LONGEST_LINE:
        raise _unknown(line)
    try:
        whole = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise _unknown(line) from error
    if not isinstance(whole, dict) or not isinstance(whole.get("say"), str):
        raise _unknown(line)
    return whole["say"], whole.get("with", {})


def _unknown(line: str) -> BadInputError:
    # What a broken line holds may be about a person, and this goes into logs.
    return BadInputError(
        f"A line of {len(line)} signs could not be understood.",
        try_next="Use programs of one version on both sides.",
    )
