"""What happens while recording, said in a line each as it happens."""

from __future__ import annotations

from capturestation.capture.messages import (
    ClockSet,
    Doing,
    Ignored,
    Kept,
    Lost,
    ReadyNow,
    Refused,
    SoundState,
    SourceDown,
    SourceUp,
    Struck,
)
from capturestation.cli.say import put, put_aside
from capturestation.records import Swing
from capturestation.records.capture import Got
from capturestation.station.bay.advice import of_got, of_health
from capturestation.station.bay.sitting import Happened
from capturestation.station.capture_client import Interrupted, Resumed
from capturestation.station.taking_in import LeftThere


class Teller:
    """Says what happens; remembers what became of the balls.

    Args:
        aside: Whether to say it beside the output, which then holds one JSON value only.
    """

    def __init__(self, *, aside: bool) -> None:
        self._say = put_aside if aside else put
        self._warned: dict[str, str] = {}
        self._count = 0
        self.swings: list[Swing] = []
        self.left: list[LeftThere] = []
        self.lost: list[str] = []

    def tell(self, happened: Happened) -> None:
        """Say it, if it is worth a line."""
        match happened:
            case Swing():
                self.swings.append(happened)
                self._say(f"  in the lesson: {happened.id}")
            case LeftThere():
                self.left.append(happened)
                self._say(f"  not taken in: {happened.why} It waits in {happened.folder}.")
            case Lost():
                self.lost.append(happened.why)
                self._say(
                    f"{happened.struck_at:%H:%M:%S}  LOST: {happened.why} {happened.try_next}"
                )
            case Doing():
                self._warn(happened)
            case _:
                line = self._line(happened)
                if line:
                    self._say(line)

    def _line(self, happened: Happened) -> str:
        line = ""
        match happened:
            case ReadyNow(ready=True):
                line = "Ready: every struck ball is kept. Ctrl-C ends."
            case SourceUp():
                sentences = [_gives(happened.got), *map(str, of_got(happened.view, happened.got))]
                line = f"The {happened.view} camera is there: {' '.join(sentences)}"
            case SourceDown():
                line = f"{happened.why} {happened.try_next}"
            case Refused() | ClockSet():
                line = f"{happened.what} {happened.try_next}"
            case SoundState() | Interrupted() | Resumed():
                line = happened.said
            case _:
                line = self._of_ball(happened)
        return line

    def _of_ball(self, happened: Happened) -> str:
        line = ""
        match happened:
            case Struck():
                self._count += 1
                said = f" {happened.confirmed.said}" if happened.confirmed else ""
                line = f"{happened.struck_at:%H:%M:%S}  ball {self._count}.{said}"
            case Ignored():
                line = f"  a sound that is not kept: {happened.why}"
            case Kept():
                said = "".join(f" {sentence}" for sentence in happened.said)
                line = f"  kept: {happened.size_mb:.1f} MB.{said}"
            case _:
                pass
        return line

    def _warn(self, doing: Doing) -> None:
        """Each trouble once, until it is gone or another."""
        now = {advice.about: str(advice) for advice in of_health(doing.health)}
        for about, said in now.items():
            if about not in self._warned:
                self._say(f"! {said}")
        self._warned = now


def _gives(got: Got) -> str:
    rate = f", {float(got.rate_hz):g} frames a second" if got.rate_hz else ""
    sound = f", sound at {got.sound_rate_hz} Hz" if got.sound_rate_hz else ", no sound"
    return f"{got.width_px}x{got.height_px} {got.codec}{rate}{sound}."
