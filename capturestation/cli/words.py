"""Pages of text about a student, a swing, or two swings side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from capturestation.cli.show import counted, seconds, table
from capturestation.compare.differences import COVERAGE, value_words
from capturestation.records import BallResult, Mark, Purpose, Student, Swing, Sync, View
from capturestation.station import comparing, forgetting, marking, people
from capturestation.swing.tempo import BACK, DOWN, RATIO

TEMPO = (BACK, DOWN, RATIO)
"""Shown whether it changed or not."""


def student_card(student: Student) -> str:
    """All that is known of a student."""
    lines = [
        f"{student.name}  ({student.id})",
        f"hand          {student.hand}",
        f"born          {student.birth_year or 'unknown, so treated as under 18'}",
        f"limits today  {student.limits_today or 'none'}",
        f"notes         {student.notes or 'none'}",
    ]
    for c in student.consents:
        said = "yes" if c.given else "no"
        by = f", written down by {c.by}" if c.by else ""
        lines.append(f"consent       {c.purpose}: {said} from {c.giver}, {c.on}{by}")
    return "\n".join([*lines, f"{people.consent_words(student)}.".capitalize()])


def consent_cell(student: Student) -> str:
    """Whether coaching is allowed, for a column."""
    missing = student.missing_consents(Purpose.COACHING, people.today())
    return f"missing: {', '.join(missing)}" if missing else "yes"


def holding_words(held: forgetting.Holding) -> str:
    """What a library holds of a student, in words."""
    words = [counted(held.swings, "swing")]
    if held.trashed:
        words.append(f"{held.trashed} in the trash")
    if held.waiting:
        words.append(f"{held.waiting} not taken in yet")
    words += [counted(held.lessons, "lesson"), counted(held.answers, "answer")]
    return f"{', '.join(words[:-1])} and {words[-1]}"


def megabytes(size_bytes: int) -> str:
    """A length as people read it."""
    return f"{size_bytes / 1e6:.1f} MB"


def forgotten_page(report: forgetting.Forgotten) -> str:
    """What a deletion took, and what looking afterwards found."""
    went, made = report.went, report.made
    lines = [
        f"Deleted the student {report.student_id} with {holding_words(went)}.",
        f"recordings    {counted(went.files, 'file')}, {megabytes(went.size_bytes)}",
        f"made of them  {counted(made.files, 'file')}, {megabytes(made.size_bytes)}: working "
        "copies, small pictures, what was seen in them, clips to hand on",
    ]
    lines += [f"earlier rows  {path}, deleted too" for path in report.old_copies]
    lines += [f"STILL THERE   {one.path}  {one.said}" for one in report.left]
    if report.is_gone:
        lines.append(
            "Looked afterwards in rows, folders, trash and what was made: nothing is left but ids "
            "without a name."
        )
    return "\n".join([*lines, *report.said])


def swing_line(swing: Swing) -> str:
    """A swing in one line."""
    star = "  best" if swing.book.starred else ""
    when = f"{swing.facts.struck_at:%Y-%m-%d %H:%M}"
    return f"{swing.book.club}, {swing.book.kind}, {when}  ({swing.id}){star}"


def ball_cell(ball: BallResult) -> str:
    """What the ball did; empty where nothing was noted."""
    rating = "" if ball.rating is None else f"{ball.rating} of 5"
    return ", ".join(word for word in (ball.start, ball.curve, ball.contact, rating) if word)


def swing_card(swing: Swing, name: str, files: Mapping[View, Sequence[str]] | None = None) -> str:
    """All that is known of a swing: whose, its views on the clock, ball, tempo, moments.

    Args:
        swing: The swing.
        name: Whose.
        files: What to know of how each view's file is read.
    """
    book = swing.book
    lines = [f"{name}: {swing_line(swing)}", f"zero           {book.zero}"]
    lines += [_sync_line(sync) for sync in book.syncs]
    if len(swing.facts.recordings) > 1:
        lines.append(f"cameras        {_phase_words(swing)}")
    for view, said in (files or {}).items():
        lines += [f"its file       {view}: {sentence}" for sentence in said]
    if ball_cell(book.ball):
        lines.append(f"ball           {ball_cell(book.ball)}")
    if book.notes:
        lines.append(f"notes          {book.notes}")
    for result in book.results:
        said = value_words(result.measured) if result.measured else result.why_missing
        lines.append(f"{result.name:14} {said}")
    return "\n".join([*lines, "", marks_table(marking.effective(book))])


def _phase_words(swing: Swing) -> str:
    rates = [float(r.rate_hz) for r in swing.facts.recordings if r.rate_hz is not None]
    apart = f"{500 / min(rates):.1f} ms, half a frame," if rates else "half a frame"
    return f"run free of each other: their pictures stand up to {apart} apart."


def _sync_line(sync: Sync) -> str:
    contact_s = sync.contact_media_ns / 1e9
    return (
        f"{sync.view:14} contact at {contact_s:.4f} s of its file, {either_way(sync)}, "
        f"by {sync.source}. {sync.said}"
    )


def either_way(sync: Sync) -> str:
    """How well contact is known in a view: two standard uncertainties."""
    return f"± {COVERAGE * sync.u_ns / 1e6:.0f} ms"


def marks_table(marks: Iterable[Mark]) -> str:
    """Moments with the times between which they lie."""
    rows = [(mark.moment, _when(mark), _between(mark), mark.source, mark.method) for mark in marks]
    return table(rows, ("moment", "s from impact", "between", "by", "method"))


def _when(mark: Mark) -> str:
    return seconds(mark.at_ns) if mark.occurs else "does not occur"


def _between(mark: Mark) -> str:
    return f"{seconds(mark.early_ns)} .. {seconds(mark.late_ns)}" if mark.occurs else ""


def comparison_page(found: comparing.Comparison) -> str:
    """Two swings side by side: the moments that either has, tempo, what to know."""
    marked = [row for row in found.rows if row.now_ns is not None or row.then_ns is not None]
    moments = [
        (
            r.moment,
            _time_cell(r.now_ns, r.now_within_ns),
            _time_cell(r.then_ns, r.then_within_ns),
            r.said,
        )
        for r in marked
    ]
    shown = [c for c in found.changes if c.is_clear or c.name in TEMPO]
    changes = [(c.name, value_words(c.now), value_words(c.then), c.words) for c in shown]
    calm = len(found.changes) - len(shown)
    neither = ", ".join(f'"{row.moment}"' for row in found.rows if row not in marked)
    notes = list(dict.fromkeys(change.note for change in found.changes if change.note))
    parts = [
        f"now   {swing_line(found.now)}\nthen  {swing_line(found.then)}",
        f"Beside: {found.label}. {found.why}",
        "",
        table(moments, ("s from impact", "now", "then", "remark")),
        "",
        *([table(changes, ("measure", "now", "then", "change")), ""] if changes else []),
        *([f"No clear change in {counted(calm, 'other measure')}."] if calm else []),
        *notes,
        *([f"Marked in neither: {neither}."] if neither else []),
        f"Contact is known to: now {_views(found.now)}; then {_views(found.then)}.",
        *found.said,
    ]
    return "\n".join(parts)


def _time_cell(at_ns: int | None, within_ns: int | None) -> str:
    """A time and how far it may be off, as in "-0.112 ± 0.004"."""
    either = "" if within_ns is None else f" ± {within_ns / 1e9:.3f}"
    return f"{seconds(at_ns)}{either}"


def _views(swing: Swing) -> str:
    return ", ".join(f"{sync.view} {either_way(sync)}" for sync in swing.book.syncs) or "nothing"
