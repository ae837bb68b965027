"""The process that records: commands in, facts out, one JSON object a line.

Owns its own beginning and end. The end of its input means that whoever started it is gone: what is
struck is finished, and then it goes too. Logs say no name and no address.
"""

from __future__ import annotations

import gc
import logging
import os
import queue
import signal
import sys
import threading
from collections.abc import Callable
from typing import BinaryIO

from capturestation import __version__
from capturestation.capture.bay import Bay, Senses
from capturestation.capture.lean import let_go_of_beginnings
from capturestation.capture.messages import (
    Bye,
    ChangeWindows,
    Command,
    Configure,
    Configured,
    Doing,
    Drop,
    Gone,
    Hello,
    KeepNow,
    Pause,
    Ready,
    ReadyNow,
    Refused,
    command_of,
)
from capturestation.capture.speaker import Speaker
from capturestation.errors import BadInputError, StationError

_log = logging.getLogger(__name__)

_LOOK_OVER_S = 1.0
_SWITCH_S = 0.001
# A packet is stamped once its thread has its turn: turns are kept short.


class Process:
    """Obeys commands.

    Args:
        speaker: Says facts.
        senses: Makes ear and eye.
    """

    def __init__(self, speaker: Speaker, senses: Callable[[], Senses]) -> None:
        self._speaker = speaker
        self._senses = senses
        self._bay: Bay | None = None
        self.is_over = False

    def obey(self, line: str) -> None:
        """Do what a line asks, or say why not."""
        try:
            self._do(command_of(line))
        except StationError as error:
            self._speaker.tell(Refused(what=error.what, try_next=error.try_next))

    def _do(self, command: Command) -> None:
        if isinstance(command, Bye):
            self.is_over = True
        elif isinstance(command, Configure):
            self._configure(command)
        else:
            self._steer(command, self._the_bay())

    def _configure(self, command: Configure) -> None:
        if self._bay is not None:
            raise BadInputError(
                "The cameras are chosen already.",
                try_next="End this recording and begin another with the new ones.",
            )
        bay = Bay(command.setting, self._speaker.tell, self._senses())
        self._speaker.tell(Configured(windows=bay.windows))
        bay.start()
        self._bay = bay

    def _steer(self, command: Ready | Pause | KeepNow | ChangeWindows | Drop, bay: Bay) -> None:
        match command:
            case Ready():
                bay.ready(command)
                self._speaker.tell(ReadyNow(ready=True, ticket=command.ticket))
            case Pause():
                bay.pause()
                self._speaker.tell(ReadyNow(ready=False))
            case KeepNow():
                bay.keep_now(command.back_ns)
            case ChangeWindows():
                bay.change_windows(command.windows)
                self._speaker.tell(Configured(windows=bay.windows))
            case Drop():
                bay.inbox.drop(command.id)

    def _the_bay(self) -> Bay:
        if self._bay is None:
            raise BadInputError(
                "No cameras are chosen yet.", try_next="Choose them, then try again."
            )
        return self._bay

    def look_over(self) -> None:
        """Once a second: that all is well, and how well."""
        if self._bay is not None:
            self._speaker.tell(Doing(health=self._bay.look_over()))

    def finish(self) -> None:
        """Finish what is struck and say so."""
        kept, lost = self._bay.finish() if self._bay is not None else (0, 0)
        self._speaker.tell(Gone(kept=kept, lost=lost))


def run(commands: BinaryIO, facts: BinaryIO, senses: Callable[[], Senses]) -> None:
    """Obey until told to end, or until nobody is there any more.

    Args:
        commands: Lines in.
        facts: Lines out.
        senses: Makes ear and eye.

    Raises:
        RuntimeError: If a thread died of a mistake of ours.
    """
    speaker = Speaker(facts)
    process = Process(speaker, senses)
    speaker.tell(Hello(version=__version__, pid=os.getpid()))
    lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    threading.Thread(target=_read, args=(commands, lines), name="commands", daemon=True).start()
    _end_on_signals(lines)
    try:
        while not process.is_over and not speaker.is_cut.is_set():
            try:
                line = lines.get(timeout=_LOOK_OVER_S)
            except queue.Empty:
                process.look_over()
                continue
            if line is None:
                break
            process.obey(line)
        process.finish()
    finally:
        speaker.end()


def _read(commands: BinaryIO, lines: queue.SimpleQueue[str | None]) -> None:
    for line in commands:
        if line.strip():
            lines.put(line.decode("utf-8", "replace"))
    lines.put(None)


def _end_on_signals(lines: queue.SimpleQueue[str | None]) -> None:
    """Being asked to end is the end of input; a Ctrl-C meant for the station is not for us."""
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, lambda _number, _frame: lines.put(None))


def main(senses: Callable[[], Senses]) -> int:
    """The process on its real input and output; gives the exit code."""
    logging.basicConfig(level=logging.INFO, format="%(levelname)s %(name)s: %(message)s")
    sys.setswitchinterval(_SWITCH_S)
    # Whatever else writes to the output must not come between the lines.
    let_go_of_beginnings()
    # What is there by now stays: looking through all of it for rubbish would keep packets waiting.
    gc.freeze()
    facts = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    try:
        run(sys.stdin.buffer, facts, senses)
    except RuntimeError:
        _log.exception("The recording process ends of a mistake of its own")
        return 1
    return 0
