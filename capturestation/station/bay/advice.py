"""What is wrong with a station, and what to do about it, in plain sentences.

Owns the judgement of what the recording process counted and of what was recorded; measures nothing
itself. Called by the commands; the window has words of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log10

from capturestation.records import View
from capturestation.records.capture import Got, Health, SoundHealth, SourceHealth, SourceState
from capturestation.station.bay.check import BLURRED, BRIGHT, DARK, LOUD_PEAK, QUIET_PEAK, Measured
from capturestation.station.bay.standing import SLOW_SHARE, Level

_LATE_MS = 150.0
# Beyond that, live pictures stutter, and a strike's pictures may come after it is looked at.
_FEW_BALLS = 60
_FAR_DB = 25.0
# A strike a metre away stands 30 dB and more over an ordinary room.


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One thing that a coach should know.

    Args:
        about: A view, "sound" or "disk"; what is said anew of it takes the place of the old.
        level: How bad it is.
        what: In one sentence.
        try_next: What to try.
    """

    about: str
    level: Level
    what: str
    try_next: str = ""

    def __str__(self) -> str:
        """Both sentences."""
        return f"{self.what} {self.try_next}".strip()


def of_health(health: Health) -> tuple[Advice, ...]:
    """What is wrong by what is counted every second; empty where all is well."""
    found = [advice for source in health.sources for advice in _of_source(source)]
    if health.sound is not None:
        found += _of_sound(health.sound)
    if health.balls_left is not None and health.balls_left < _FEW_BALLS:
        found.append(
            Advice(
                about="disk",
                level=Level.BAD if health.balls_left < 1 else Level.LOOK,
                what=f"The disk has room for {health.balls_left} more balls.",
                try_next="Empty the trash, or move old lessons to another disk.",
            )
        )
    return tuple(found)


def _of_source(source: SourceHealth) -> Iterator[Advice]:
    who = f"The {source.view} camera"
    if source.state is not SourceState.UP:
        return
    asked = source.asked_hz
    if asked and 0 < source.rate_hz < SLOW_SHARE * asked:
        yield Advice(
            about=f"{source.view} rate",
            level=Level.BAD,
            what=f"{who} sends {source.rate_hz:.0f} frames a second; {asked:g} were asked for.",
            try_next="Give it more light, or ask it for a smaller picture; on USB, give it a port "
            "of its own.",
        )
    if source.missing:
        yield Advice(
            about=f"{source.view} frames",
            level=Level.LOOK,
            what=f"{source.missing} frames of the {source.view} camera never came.",
            try_next="Use a shorter cable or a wired network, and close what else is running.",
        )
    if source.late_p95_ms > _LATE_MS:
        yield Advice(
            about=f"{source.view} late",
            level=Level.LOOK,
            what=f"{who}'s frames come up to {source.late_p95_ms:.0f} ms late.",
            try_next="Use a wired network, and close what else is running.",
        )
    if source.ring_full:
        yield Advice(
            about=f"{source.view} memory",
            level=Level.BAD,
            what=f"{who} sends more than memory holds for one ball.",
            try_next="Ask it for a smaller picture or a stronger coding.",
        )


def _of_sound(sound: SoundHealth) -> Iterator[Advice]:
    if sound.state is not SourceState.UP:
        yield Advice(
            about="sound",
            level=Level.BAD,
            what="Nothing is heard, so no ball is kept by itself.",
            try_next="Plug in a microphone, or switch a camera's sound on.",
        )
    elif sound.silent:
        yield Advice(
            about="sound",
            level=Level.BAD,
            what="The sound is silent altogether.",
            try_next="Check that the microphone is not muted and is plugged in.",
        )
    elif sound.clipped:
        yield Advice(
            about="sound",
            level=Level.LOOK,
            what="The sound is cut at the top.",
            try_next="Turn the microphone's level down, or move it away a little.",
        )


def of_strikes_sound(peak: float, room_db: float) -> tuple[Advice, ...]:
    """Whether a strike, or a clap where the ball lies, is loud enough.

    Args:
        peak: Loudest sample of some seconds in which there was one, 0..1.
        room_db: Of the quietest second of them, dB under full scale.
    """
    near = "Move the microphone nearer to the ball, or turn its level up."
    if peak >= LOUD_PEAK:
        what = "The loudest sound is cut at the top."
        try_next = "Turn the microphone's level down, or move it away a little."
    elif peak < QUIET_PEAK:
        what = f"The loudest sound reaches {100 * peak:.0f} % only: the microphone is too far away."
        try_next = f"{near} If nobody clapped or struck a ball just now, do so and try again."
    elif 20 * log10(peak) - room_db < _FAR_DB:
        what = "The loudest sound hardly stands out of the room: the microphone is too far away."
        try_next = f"{near} Switch off fans and music near it."
    else:
        return ()
    return (Advice(about="sound", level=Level.LOOK, what=what, try_next=try_next),)


def of_picture(view: View, measured: Measured) -> tuple[Advice, ...]:
    """Whether a picture is bright and sharp enough for the club."""
    found: list[Advice] = []
    if measured.light < DARK:
        found.append(
            Advice(
                about=f"{view} light",
                level=Level.BAD,
                what=f"The {view} picture is too dark for the club: it is smeared away.",
                try_next="More light on golfer and ball, from lamps that don't flicker; then a "
                "shutter of 1/1000 s or shorter.",
            )
        )
    elif measured.light > BRIGHT:
        found.append(
            Advice(
                about=f"{view} light",
                level=Level.LOOK,
                what=f"The {view} picture is too bright: a white ball is lost on it.",
                try_next="A shorter shutter, or no window behind the golfer.",
            )
        )
    if measured.sharpness < BLURRED:
        found.append(
            Advice(
                about=f"{view} focus",
                level=Level.LOOK,
                what=f"The {view} picture is not sharp.",
                try_next="Focus on the ball by hand and lock it; clean the lens.",
            )
        )
    return tuple(found)


def of_got(view: View, got: Got) -> tuple[Advice, ...]:
    """Where a camera gives something else than was asked, or can't be held to it."""
    said = [(f"{view} asked", sentence) for sentence in got.said]
    if got.loose_said:
        said.append((f"{view} held", got.loose_said))
    return tuple(Advice(about=about, level=Level.LOOK, what=what) for about, what in said)
