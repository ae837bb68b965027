"""Everything that the library holds of one person as one zip, for whoever has a right to it.

Owns what goes in: the recordings as they are, all facts and words as JSON, the measures as a table
and a page that says what is what. The person's own private words are in it too: it is theirs.
"""

from __future__ import annotations

import csv
import html
import io
import secrets
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from capturestation.drawing.theme import date_words
from capturestation.errors import NotReadableError
from capturestation.folders import PARTIAL, flush_folder, remove_file
from capturestation.folders.files import explained_reading, explained_writing, taken
from capturestation.library import Library, Subject
from capturestation.records import Student, Swing, Watch
from capturestation.station.forgetting import holding, waiting_of
from capturestation.station.places import refuse_inside

TABLE, PAGE = "measures.csv", "read-me.html"
_PIECE_BYTES = 1 << 20
_PACKED = {".json", ".csv", ".html"}
# Recordings are packed already: to try it again costs minutes and saves nothing.


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenOut:
    """What was written.

    Args:
        path: The zip.
        files: How many files are in it.
        size_bytes: Its length.
        swings: How many swings, those in the trash too.
        lessons: How many lessons.
    """

    path: Path
    files: int
    size_bytes: int
    swings: int
    lessons: int


def give_out(library: Library, who: str, out: Path, watch: Watch) -> GivenOut:
    """Write everything of a student into one zip.

    Args:
        library: The library; nothing in it is changed.
        who: Id or name.
        out: The zip; must not be there.
        watch: Is told how far it is, and may stop it.

    Raises:
        NotFoundError: If there is no such student.
        OutputError: If it is there already, lies in the library or can't be written.
        NotReadableError: If a file of the library can't be read.
        CancelledError: If stopped. Whatever the reason, nothing is left behind.
    """
    refuse_inside(library, out)
    student = library.find_student(who)
    if out.exists():
        raise taken(out)
    held = holding(library, student.id)
    files = dict(_files(library, student))
    made = {TABLE: _measures(library, student), PAGE: _page(library, student, files)}
    partial = out.with_name(f".{out.name}.{secrets.token_hex(4)}{PARTIAL}")
    try:
        with explained_writing(out), zipfile.ZipFile(partial, "x") as archive:
            for name, text in made.items():
                archive.writestr(name, text, zipfile.ZIP_DEFLATED)
            _pack(archive, files, max(held.size_bytes, 1), watch)
        with explained_writing(out):
            partial.replace(out)
            flush_folder(out.parent)
    except BaseException:
        remove_file(partial)
        raise
    return GivenOut(
        path=out,
        files=len(files) + len(made),
        size_bytes=out.stat().st_size,
        swings=len(held.swing_ids),
        lessons=held.lessons,
    )


def _files(library: Library, student: Student) -> Iterator[tuple[str, Path]]:
    """All files, by their names in the zip."""
    places = library.places
    yield "person.json", places.file(Subject.STUDENT, student.id)
    for lesson in library.lessons(student.id):
        yield f"lessons/{lesson.on}-{lesson.id}.json", places.file(Subject.LESSON, lesson.id)
    folders = [(swing, library.swing_path(swing.id), "swings") for swing in _kept(library, student)]
    folders += [
        (swing, places.trashed(swing.id), "thrown-away") for swing in _thrown_away(library, student)
    ]
    for swing, folder, above in folders:
        name = f"{above}/{swing.facts.struck_at:%Y-%m-%d}-{swing.id}"
        for path in sorted(folder.iterdir()):
            if path.is_file():
                yield f"{name}/{path.name}", path
    for folder in waiting_of(library, student.id):
        for path in sorted(folder.iterdir()):
            if path.is_file():
                yield f"not-taken-in/{folder.name}/{path.name}", path


def _kept(library: Library, student: Student) -> Sequence[Swing]:
    return library.swings_of(student.id)


def _thrown_away(library: Library, student: Student) -> Sequence[Swing]:
    mine = [note.id for note in library.trash() if note.student_id == student.id]
    return [library.trashed_swing(swing_id) for swing_id in mine]


def _pack(archive: zipfile.ZipFile, files: dict[str, Path], size_bytes: int, watch: Watch) -> None:
    done = 0
    for name, path in files.items():
        entry = zipfile.ZipInfo(name)
        entry.compress_type = zipfile.ZIP_DEFLATED if path.suffix in _PACKED else zipfile.ZIP_STORED
        with archive.open(entry, "w", force_zip64=True) as target:
            for piece in _pieces(path):
                target.write(piece)
                done += len(piece)
                watch.report(min(done / size_bytes, 1.0), "packing")


def _pieces(path: Path) -> Iterator[bytes]:
    """A file piece by piece; trouble of reading is told as such, not as one of writing."""
    with explained_reading(path):
        source = path.open("rb")
    with source:
        while True:
            try:
                piece = source.read(_PIECE_BYTES)
            except OSError as error:
                raise NotReadableError(
                    f"{path.name} can't be read to its end.",
                    try_next="Look at the disk; capturestation check says which files are harmed.",
                    subject=path.name,
                ) from error
            if not piece:
                return
            yield piece


def _measures(library: Library, student: Student) -> str:
    held = io.StringIO()
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(
        ("swing", "struck_at", "club", "kind", "measure", "value", "unit", "u_random",
         "u_systematic", "why_missing")
    )  # fmt: skip
    for swing in (*_kept(library, student), *_thrown_away(library, student)):
        about = (swing.id, swing.facts.struck_at.isoformat(), swing.book.club, swing.book.kind)
        for result in swing.book.results:
            one = result.measured
            value = ("", "", "", "") if one is None else (
                f"{one.value:.6g}", one.unit, f"{one.u_random:.6g}", f"{one.u_systematic:.6g}"
            )  # fmt: skip
            writer.writerow((*about, result.name, *value, result.why_missing))
    return held.getvalue()


def _page(library: Library, student: Student, files: dict[str, Path]) -> str:
    """What is what, with a link to each recording."""
    lessons = "".join(
        f"<li>{date_words(lesson.on)}: {html.escape(', '.join(lesson.focus) or 'no focus noted')}"
        "</li>"
        for lesson in library.lessons(student.id)
    )
    media = "".join(
        f'<li><a href="{html.escape(name)}">{html.escape(name)}</a></li>'
        for name in files
        if name.endswith(".mp4")
    )
    return (
        '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>Your lessons</title>'
        f"<h1>{html.escape(student.name)}</h1><p>Everything that is kept of you: "
        f"<code>person.json</code> (name, year of birth, consents, notes), <code>lessons/</code>, "
        "<code>swings/</code> (recordings, with <code>swing.json</code> and <code>book.json</code> "
        "beside them), <code>thrown-away/</code>, <code>not-taken-in/</code> (balls that are in no "
        "lesson yet), and all measures with their errors in "
        f'<a href="{TABLE}">{TABLE}</a>.</p><h2>Lessons</h2><ul>{lessons}</ul>'
        f"<h2>Recordings</h2><ul>{media}</ul></html>\n"
    )
