"""A lesson recorded without a window: every struck ball goes into it as soon as it is kept.

Owns the order: may this person be filmed, begin, ready, take in what is kept, pause, end, take in
the rest. What happens is handed on as it happens; who calls decides when it is over.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from capturestation.capture.messages import Fact, Kept, Pause, Ready
from capturestation.errors import StationError
from capturestation.library import Library
from capturestation.records import NS_PER_S, Quiet, Swing
from capturestation.records.capture import CaptureSetting
from capturestation.station.bay.person import Person
from capturestation.station.bay.recording import Client
from capturestation.station.capture_client import CaptureClient, Interrupted, Told
from capturestation.station.people import refuse_without_consent, today
from capturestation.station.taking_in import LeftThere, take_in, ticket_text

_LISTEN_S = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """When a sitting is over by itself.

    Args:
        balls: After so many kept; None for no number.
        after_s: After so long; None for no time.
    """

    balls: int | None = None
    after_s: float | None = None


Happened = Told | Swing | LeftThere
"""What was told; then, of each kept ball, the swing it became or why it stays in the inbox."""


def sit(
    library: Library,
    person: Person,
    setting: CaptureSetting,
    ends: Ends,
    *,
    is_over: Callable[[], bool],
    make: Callable[[CaptureSetting], Client] = CaptureClient,
) -> Iterator[Happened]:
    """Record until it is over.

    Args:
        library: Its inbox is the setting's.
        person: Who is hitting.
        setting: Cameras and windows.
        ends: When it is over by itself.
        is_over: Whether somebody wants an end; asked five times a second.
        make: Begins a recording.

    Raises:
        ConsentRefusedError: If that person may not be filmed; no camera was opened.
        OutputError: If no recording can be begun.
    """
    refuse_without_consent(person.student, today())
    client = make(setting)
    try:
        client.say(Ready(ticket=ticket_text(person.ticket())))
        yield from _listened(library, client, ends, is_over)
        client.say(Pause())
    finally:
        # What is struck is finished, whatever ends this.
        client.stop()
    for fact in client.facts():
        yield from _taken(library, fact)


def _listened(
    library: Library, client: Client, ends: Ends, is_over: Callable[[], bool]
) -> Iterator[Happened]:
    kept, begun_ns = 0, time.perf_counter_ns()
    while not is_over():
        spent_s = (time.perf_counter_ns() - begun_ns) / NS_PER_S
        if ends.after_s is not None and spent_s >= ends.after_s:
            return
        facts = client.facts()
        for fact in facts:
            kept += isinstance(fact, Kept)
            if ends.balls is not None and kept >= ends.balls:
                # Taking a ball in takes seconds, in which another may be struck.
                client.say(Pause())
            yield from _taken(library, fact)
            if isinstance(fact, Interrupted) and fact.for_good:
                return
        if ends.balls is not None and kept >= ends.balls:
            return
        if not facts:
            time.sleep(_LISTEN_S)


def _taken(library: Library, fact: Fact | Told) -> Iterator[Happened]:
    yield fact
    if not isinstance(fact, Kept):
        return
    folder = Path(fact.folder)
    try:
        yield take_in(library, folder, Quiet())
    except StationError as error:
        yield LeftThere(folder=folder, why=error)
