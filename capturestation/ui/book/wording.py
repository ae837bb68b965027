"""What stands on the Book's lines, in words.

Owns how a student, a lesson, a swing and a ball are said. Used by delegates, buttons and screen
readers alike.
"""

from __future__ import annotations

from datetime import date

from capturestation.drawing.theme import date_words
from capturestation.records import BallResult, Lesson, Swing
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.station.people import today
from capturestation.ui.texts import say

_ONE_DAY = 1


def day_words(day: date) -> str:
    """A day as a coach says it: today, yesterday, 30 Oct 2026."""
    ago = (today() - day).days
    if ago == 0:
        return say("book.today")
    return say("book.yesterday") if ago == _ONE_DAY else date_words(day)


def student_words(line: StudentLine) -> tuple[str, ...]:
    """Name; hand and last lesson; what it was found by or what stands against filming."""
    hand = say(f"book.hand.{line.student.hand}")
    last = (
        say("book.no_lesson_yet")
        if line.last is None
        else say("book.last_lesson", day=day_words(line.last))
    )
    words = [line.student.name, f"{hand}, {last}"]
    if line.lesson is not None:
        words.append(focus_words(line.lesson))
    elif line.trouble:
        words.append(line.trouble)
    return tuple(words)


def lesson_words(line: LessonLine) -> tuple[str, ...]:
    """Day; focus; how many swings."""
    count = say("book.one_swing") if line.swings == 1 else say("book.swings", count=line.swings)
    return day_words(line.lesson.on), focus_words(line.lesson), count


def focus_words(lesson: Lesson) -> str:
    """The one or two things that a lesson works on."""
    return say("book.and").join(lesson.focus) if lesson.focus else say("book.no_focus")


def swing_words(swing: Swing) -> tuple[str, ...]:
    """Time and club; kind and star; ball."""
    when = f"{swing.facts.struck_at.astimezone():%H:%M}"
    star = [say("book.best")] if swing.book.starred else []
    words = [f"{when}  {swing.book.club}", ", ".join([str(swing.book.kind), *star])]
    ball = ball_words(swing.book.ball)
    return (*words, ball) if ball else tuple(words)


def ball_words(ball: BallResult) -> str:
    """What the ball did; empty where nothing was noted."""
    said = [say(f"book.ball.start.{ball.start}")] if ball.start in SIDES else []
    said += [say(f"book.ball.curve.{ball.curve}")] if ball.curve in SIDES else []
    said += [ball.contact] if ball.contact else []
    said += [say("book.ball.rated", rating=ball.rating)] if ball.rating is not None else []
    return ", ".join(said)


SIDES = ("left", "straight", "right")
"""Where a ball starts and how it curves."""
CONTACTS = ("solid", "thin", "fat", "heel", "toe")
"""How it was met."""
RATINGS = (1, 2, 3, 4, 5)
"""From poor to as wanted."""
