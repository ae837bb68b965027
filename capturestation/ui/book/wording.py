"""What stands on the Book's lines, in words.

Owns how a day, a student, a lesson, a swing and a ball are said, and by which words a day is found.
Used by delegates, buttons and screen readers alike.
"""

from __future__ import annotations

from datetime import date

from capturestation.drawing.theme import date_words
from capturestation.records import BallResult, Consent, Lesson, Purpose, Student, Swing
from capturestation.station.leaf import LeafLine, Print
from capturestation.station.notebook import LessonLine, StudentLine
from capturestation.station.people import refused_by, today
from capturestation.ui.texts import say

SIDES = ("left", "straight", "right")
"""Where a ball starts and how it curves."""
CONTACTS = ("solid", "thin", "fat", "heel", "toe")
"""How it was met."""
RATINGS = (1, 2, 3, 4, 5)
"""How near it was to what was wanted."""
_ONE_DAY = 1


def day_words(day: date) -> str:
    """A day as a coach says it.

    Example:
        >>> day_words(date(2020, 1, 5))
        '5 Jan 2020'
    """
    ago = (today() - day).days
    if ago == 0:
        return say("book.today")
    return say("book.yesterday") if ago == _ONE_DAY else date_words(day)


def day_title(day: date) -> str:
    """A day as the heading of a lesson: with the day of the week, and close by as that.

    Example:
        >>> day_title(date(2020, 1, 5))
        'Sunday 5 January 2020'
    """
    weekday, month = say(f"book.weekday.{day.isoweekday()}"), say(f"book.month.{day.month}")
    whole = say("book.day", weekday=weekday, day=day.day, month=month, year=day.year)
    near = day_words(day)
    return (
        whole
        if near == date_words(day)
        else say("book.day.near", near=sentence(near).rstrip("."), day=whole)
    )


def day_finds(day: date) -> str:
    """All words by which a day is found.

    Example:
        >>> day_finds(date(2020, 1, 5))
        '2020-01-05 5 January 2020 Sunday 5 Jan 2020'
    """
    weekday, month = say(f"book.weekday.{day.isoweekday()}"), say(f"book.month.{day.month}")
    return f"{day} {day.day} {month} {day.year} {weekday} {day_words(day)}"


def sentence(text: str) -> str:
    """Words as a sentence.

    Example:
        >>> sentence("right-handed, born 1988")
        'Right-handed, born 1988.'
    """
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def consent_trouble(student: Student) -> str:
    """What stands against filming, in a sentence; empty where nothing does."""
    noes = refused_by(student, Purpose.COACHING)
    if noes:
        return say("book.consent.refused", who=_givers(noes))
    missing = student.missing_consents(Purpose.COACHING, today())
    return say("book.consent.missing", who=_givers(missing)) if missing else ""


def _givers(givers: tuple[str, ...]) -> str:
    return say("book.consent.and").join(say(f"book.giver.{giver}") for giver in givers)


def consent_short(student: Student) -> str:
    """The same so short that it stands whole in a narrow list, the vital word first."""
    noes = refused_by(student, Purpose.COACHING)
    missing = student.missing_consents(Purpose.COACHING, today())
    key = "book.consent.short.no" if noes else "book.consent.short.missing"
    who = ", ".join(say(f"book.giver.{giver}.short") for giver in noes or missing)
    return say(key, who=who) if who else ""


def answer_words(answer: Consent) -> str:
    """An answer that was given: yes or no, when, and who wrote it down."""
    said = say(f"book.answer.{'yes' if answer.given else 'no'}")
    words = say("book.answer.said", answer=said, day=day_words(answer.on))
    return say("book.answer.by", said=words, by=answer.by) if answer.by else words


def student_words(line: StudentLine) -> tuple[str, ...]:
    """Name; what stands against filming; last lesson and hand, or what it was found by."""
    if line.lesson is not None:
        found = say("book.found", day=day_words(line.lesson.on))
        return line.student.name, found, focus_words(line.lesson)
    hand = say(f"book.hand.{line.student.hand}")
    last = say("book.no_lesson_yet") if line.last is None else day_words(line.last)
    facts = say("book.student.line", last=last, hand=hand)
    trouble = consent_short(line.student)
    return (line.student.name, trouble, facts) if trouble else (line.student.name, facts)


def facts_words(student: Student, *, with_limits: bool) -> str:
    """What the coach should have in mind before the first ball: hand, consent, limits of today.

    Args:
        student: Whose.
        with_limits: Whether the limits are said, which are private.
    """
    parts = [say(f"book.hand.{student.hand}")]
    parts += [say("book.born", year=student.birth_year)] if student.birth_year else []
    facts = [", ".join(parts), consent_trouble(student) or say("book.consent.recorded")]
    if with_limits and student.limits_today.strip():
        facts.append(say("book.limits", limits=" ".join(student.limits_today.split())))
    return " ".join(sentence(fact.rstrip(".")) for fact in facts)


def count_words(line: LessonLine) -> str:
    """How many swings a lesson holds."""
    return say("book.one_swing") if line.swings == 1 else say("book.swings", count=line.swings)


def focus_words(lesson: Lesson) -> str:
    """The one or two things that a lesson works on."""
    return say("book.and").join(lesson.focus) if lesson.focus else say("book.no_focus")


def lesson_words(line: LessonLine) -> tuple[str, ...]:
    """Day; focus; how many swings; whether there are notes, which are private."""
    words = (day_title(line.lesson.on), focus_words(line.lesson), count_words(line))
    notes = noted_words(line.lesson)
    return (*words, notes) if notes else words


def noted_words(lesson: Lesson) -> str:
    """That there are notes, and no word of them; empty where there are none."""
    return say("book.notes.written") if lesson.notes.strip() else ""


def leaf_words(line: LeafLine) -> tuple[str, ...]:
    """All words of a line on a student's page."""
    return swing_words(line.swing) if isinstance(line, Print) else lesson_words(line)


def time_of(swing: Swing) -> str:
    """When it was struck, as the clock on the wall says it here."""
    return f"{swing.facts.struck_at.astimezone():%H:%M}"


def swing_words(swing: Swing) -> tuple[str, ...]:
    """Time and club; kind and star; ball."""
    star = [say("book.best")] if swing.book.starred else []
    kind = say(f"book.kind.{swing.book.kind}")
    words = [f"{time_of(swing)}  {swing.book.club}", " · ".join([*star, kind])]
    ball = ball_words(swing.book.ball)
    return (*words, ball) if ball else tuple(words)


def ball_words(ball: BallResult) -> str:
    """What the ball did, the rating first; empty where nothing was noted."""
    said = [say("book.ball.rated", rating=ball.rating)] if ball.rating is not None else []
    said += [say(f"book.ball.start.{ball.start}")] if ball.start in SIDES else []
    said += [say(f"book.ball.curve.{ball.curve}")] if ball.curve in SIDES else []
    if ball.contact:
        known = ball.contact in CONTACTS
        said.append(say(f"book.ball.contact.{ball.contact}") if known else ball.contact)
    return ", ".join(said)
