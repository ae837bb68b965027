"""What the Bay says, in words: how it stands, what is well, what is wrong and what to do.

Owns which trouble is said first. A shape stands beside every word that tells well from bad.
"""

from __future__ import annotations

from capturestation.records import Swing
from capturestation.station.bay.balls import Ball, Stage
from capturestation.station.bay.bay import Bay, Mode
from capturestation.station.bay.standing import Level, Sign
from capturestation.ui.book.wording import consent_trouble
from capturestation.ui.texts import say

SHAPES = {Level.WELL: "\N{BLACK CIRCLE}", Level.LOOK: "\N{BLACK UP-POINTING TRIANGLE}"}
SHAPES[Level.BAD] = "\N{BLACK SQUARE}"
_A_DAY_H = 24.0
_VIEW = "view"
_NBSP = "\N{NO-BREAK SPACE}"


def big_word(bay: Bay) -> str:
    """The one word that is read from three metres."""
    return say("bay.word.ready" if bay.mode is Mode.READY else "bay.word.paused")


def line_below(bay: Bay) -> str:
    """Who, and what the next step is."""
    mode = bay.mode
    if bay.is_ending:
        return say("bay.line.ending")
    if mode is Mode.REFUSED and bay.person is not None:
        student = bay.person.student
        return say("bay.line.refused", name=student.name, why=consent_trouble(student))
    key = f"bay.line.{mode.name.lower()}"
    if bay.person is None:
        return say(key)
    return say(key, name=bay.person.student.name, club=bay.person.club)


_SHORT = (Mode.NO_ONE, Mode.REFUSED, Mode.ASKS)
# Where there is little room these are said shorter.


def button_words(bay: Bay, *, is_short: bool = False) -> str:
    """What the one large button does."""
    end = ".short" if is_short and bay.mode in _SHORT else ""
    return say(f"bay.button.{bay.mode.name.lower()}{end}")


def count_words(bay: Bay) -> str:
    """How many balls are kept."""
    kept = bay.balls.kept
    if not kept:
        return say("bay.count.none")
    return say("bay.count.one") if kept == 1 else say("bay.count", count=kept)


def room_words(hours: float, balls: int) -> str:
    """What still fits on the disk.

    Example:
        >>> room_words(7.6, 456)
        'Disk: 7 hours left, 456 balls'
    """
    if hours >= 2 * _A_DAY_H:
        time = say("bay.room.days", days=int(hours / _A_DAY_H))
    elif hours >= 2:
        time = say("bay.room.hours", hours=int(hours))
    else:
        time = say("bay.room.minutes", minutes=int(60 * hours))
    return say("bay.room", time=time, balls=balls)


def sign_words(sign: Sign) -> str:
    """One thing that is watched, with its shape, which no line's end parts from it."""
    return f"{SHAPES[sign.level]}{_NBSP}{bare_words(sign)}"


def bare_words(sign: Sign) -> str:
    """One thing that is watched, without the shape."""
    if sign.what in ("disk", "check.disk"):
        hours, balls = sign.values["hours"], sign.values["balls"]
        assert isinstance(hours, float)
        assert isinstance(balls, int)
        return room_words(hours, balls)
    values = dict(sign.values)
    if _VIEW in values:
        values[_VIEW] = say(f"bay.view.{values[_VIEW]}")
    return say(f"bay.sign.{sign.what}", **values)


def what_to_do(sign: Sign) -> str:
    """What may help; empty where all is well."""
    if sign.level is Level.WELL:
        return ""
    return sign.said[1] or say(f"bay.do.{sign.what}")


_NO_TROUBLE = ("awaited", "ear_awaited", "loose")
# The first two pass by themselves; what a camera can't hold still stays so, and is read below.


def trouble_words(bay: Bay) -> str:
    """The one trouble that matters most, and what to do; empty where there is none."""
    if bay.refused is not None:
        return str(bay.refused)
    if bay.interrupted is not None:
        key = "bay.trouble.given_up" if bay.interrupted.for_good else "bay.trouble.anew"
        return say(key)
    if not bay.recording.is_wanted:
        return ""
    signs = bay.standing.signs(bay.balls_an_hour)
    for level in (Level.BAD, Level.LOOK):
        for sign in signs:
            if sign.level is level and sign.what not in _NO_TROUBLE:
                return _trouble(sign)
    return ""


def _trouble(sign: Sign) -> str:
    what = sign.said[0] or say(f"bay.trouble.{sign.what}", **_said_values(sign))
    return f"{SHAPES[sign.level]} {what} {what_to_do(sign)}".strip()


def _said_values(sign: Sign) -> dict[str, object]:
    values = dict(sign.values)
    if _VIEW in values:
        values[_VIEW] = say(f"bay.view.{values[_VIEW]}")
    if "hours" in values:
        values["room"] = bare_words(sign)
    return values


def ball_words(ball: Ball | None) -> str:
    """The last ball, as the words beside its star."""
    if ball is None:
        return say("bay.last.none")
    said = [say("bay.last", time=f"{ball.struck_at.astimezone():%H:%M:%S}")]
    if ball.stage is Stage.STRUCK:
        said.append(say("bay.last.writing"))
    if ball.stage is Stage.KEPT:
        said.append(say("bay.last.taking"))
    if ball.stage is Stage.LEFT:
        said.append(say("bay.last.left"))
    if ball.starred:
        said.append(say("bay.last.starred"))
    if ball.rating is not None:
        said.append(say("bay.last.rated", rating=ball.rating))
    return ", ".join(said)


def size_words(size_bytes: int) -> str:
    """A size on the disk.

    Example:
        >>> size_words(61_400_000), size_words(3_300_000_000)
        ('61 MB', '3.3 GB')
    """
    size_mb = size_bytes / 1e6
    if size_mb >= 1000:
        return say("bay.size.gb", size=f"{size_mb / 1000:.1f}")
    return say("bay.size.mb", size=f"{size_mb:.0f}")


def end_words(swing: Swing, size_bytes: int) -> str:
    """One ball at the lesson's end."""
    book = swing.book
    said = [f"{swing.facts.struck_at.astimezone():%H:%M:%S}", book.club]
    if book.starred:
        said.append(say("bay.last.starred"))
    if book.ball.rating is not None:
        said.append(say("bay.last.rated", rating=book.ball.rating))
    said.append(size_words(size_bytes))
    return " · ".join(said)
