"""Asking for swings: one, a lesson's, those to choose an own best from, and finding one again."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from pathlib import Path

from capturestation.compare.pairing import is_same_club
from capturestation.errors import NotFoundError
from capturestation.library.finding import Candidate, nothing, only_one, prefix_range
from capturestation.library.places import Subject
from capturestation.library.rows import CHILDREN, Row, swing_from, utc_us
from capturestation.library.store import Store, missing
from capturestation.records import LessonId, Plain, StudentId, Swing, SwingId, View

_NEAR_FROM = 200
# Ids are compared one by one when nothing fits; older swings than these are rarely meant.


class SwingAnswers(Store):
    """What a library answers about its swings; changes nothing."""

    def swing(self, swing_id: SwingId) -> Swing:
        """The swing of that id.

        Raises:
            NotFoundError: If there is none.
        """
        found = self._swings("WHERE id = ?", [swing_id])
        if not found:
            raise missing(Subject.SWING, swing_id)
        return found[0]

    def swings(self, lesson_id: LessonId) -> tuple[Swing, ...]:
        """A lesson's swings in the order they were struck."""
        return self._swings("WHERE lesson_id = ? ORDER BY struck_utc_us, id", [lesson_id])

    def swings_of(self, student_id: StudentId) -> tuple[Swing, ...]:
        """All swings of a student in the order they were struck."""
        return self._swings("WHERE student_id = ? ORDER BY struck_utc_us, id", [student_id])

    def latest_swing(self) -> Swing | None:
        """The swing struck last of all; None while there is none."""
        return next(iter(self.newest_swings(1)), None)

    def newest_swings(self, most: int) -> tuple[Swing, ...]:
        """The swings struck last of all, newest first."""
        return self._swings("ORDER BY struck_utc_us DESC, id LIMIT ?", [most])

    def may_stand_beside(self, now: Swing) -> tuple[Swing, ...]:
        """The few swings among which the choice of an own best can fall.

        Which one it falls on is not decided here; this only spares reading all the others.

        Args:
            now: Today's swing.

        Returns:
            Of the same student, kind and club group: all with a star, and those of its lesson.
        """
        alike = "student_id = ? AND kind = ? AND club_group = ?"
        stars = f"SELECT id FROM swings WHERE {alike} AND starred = 1"
        lesson = f"SELECT id FROM swings WHERE lesson_id = ? AND +{alike}"
        book = now.book
        keys = [book.student_id, book.kind.value, now.club_group.value]
        return self._swings(
            f"WHERE id IN ({stars} UNION {lesson}) ORDER BY struck_utc_us, id",
            [*keys, book.lesson_id, *keys],
        )

    def own_values(
        self, now: Swing, *, without: Collection[SwingId] = ()
    ) -> dict[str, tuple[float, ...]]:
        """Each measure's values in the swings of the same student, kind and club.

        Clubs are alike as `compare.pairing` says: of one group, unknown ones of one name.

        Args:
            now: Today's swing.
            without: Swings that are left out.

        Returns:
            By the measure's name, one value a swing, in the order in which they were struck.
        """
        rows = self._rows(
            "SELECT r.swing_id, r.name, r.value, s.club FROM swings AS s"
            " JOIN results AS r ON r.swing_id = s.id"
            " WHERE s.student_id = ? AND s.kind = ? AND s.club_group = ? AND r.value IS NOT NULL"
            " ORDER BY s.struck_utc_us, s.id, r.place",
            [now.book.student_id, now.book.kind.value, now.club_group.value],
        )
        club = now.book.club
        by_name: dict[str, dict[str, float]] = {}
        for row in rows:
            if str(row["swing_id"]) in without or not is_same_club(club, str(row["club"])):
                continue
            # A measure that a swing holds for several moments counts once, by the last.
            by_name.setdefault(str(row["name"]), {})[str(row["swing_id"])] = _number(row["value"])
        return {name: tuple(values.values()) for name, values in by_name.items()}

    def swing_counts(self, lesson_ids: Iterable[LessonId]) -> dict[LessonId, int]:
        """How many swings each of these lessons holds."""
        asked = list(lesson_ids)
        rows = self._rows(
            "SELECT lesson_id, count(*) AS n FROM swings"
            " WHERE lesson_id IN (SELECT value FROM json_each(?)) GROUP BY lesson_id",
            [json.dumps(asked)],
        )
        counted = {str(row["lesson_id"]): int(_number(row["n"])) for row in rows}
        return {key: counted.get(key, 0) for key in asked}

    def unknown_swings(self, ids: Iterable[str]) -> frozenset[str]:
        """Those of these ids to which no swing answers."""
        rows = self._rows(
            "SELECT value FROM json_each(?) WHERE value NOT IN (SELECT id FROM swings)",
            [json.dumps(list(ids))],
        )
        return frozenset(str(row["value"]) for row in rows)

    def swing_with_hash(self, sha256: str) -> Swing | None:
        """The first swing that holds a file of these bytes, or None if none does."""
        same = "(SELECT swing_id FROM recordings WHERE sha256 = ?)"
        found = self._swings(f"WHERE id IN {same} ORDER BY struck_utc_us, id LIMIT 1", [sha256])
        return found[0] if found else None

    def swings_of_camera(self, camera: str, before: datetime, most: int) -> tuple[Swing, ...]:
        """The newest swings that a camera recorded before a time, newest first."""
        own = "(SELECT swing_id FROM recordings WHERE camera = ?)"
        return self._swings(
            f"WHERE id IN {own} AND struck_utc_us < ? ORDER BY struck_utc_us DESC, id LIMIT ?",
            [camera, utc_us(before), most],
        )

    def cameras(self) -> tuple[str, ...]:
        """The names of all cameras that recorded a swing, in order; nameless ones aren't among."""
        rows = self._rows(
            "SELECT DISTINCT camera FROM recordings WHERE camera > '' ORDER BY camera"
        )
        return tuple(str(row["camera"]) for row in rows)

    def find_swing(self, prefix: str) -> Swing:
        """The one swing whose id starts so.

        Raises:
            NotFoundError: If none or more than one does; says which come near.
        """
        sql = "SELECT id, struck_at, club FROM swings"
        where = f"{sql} WHERE id >= ? AND id < ? ORDER BY struck_utc_us DESC LIMIT 20"
        found = self._rows(where, prefix_range(prefix)) if prefix.strip() else []
        if not found:
            newest = self._rows(f"{sql} ORDER BY struck_utc_us DESC LIMIT ?", [_NEAR_FROM])
            raise nothing(Subject.SWING, prefix, map(_candidate, newest))
        several = [_candidate(row) for row in found]
        return self.swing(SwingId(only_one(Subject.SWING, prefix, several)))

    def swing_path(self, swing_id: SwingId) -> Path:
        """The folder of a swing.

        Raises:
            NotFoundError: If there is no such swing.
        """
        return self.places.root / self._folder(swing_id)

    def media_path(self, swing: Swing, view: View) -> Path:
        """The file of one view of a swing.

        Raises:
            NotFoundError: If the swing is not there or has no such view.
        """
        recording = swing.recording(view)
        if recording is None:
            has = " and ".join(r.view.value for r in swing.facts.recordings)
            raise NotFoundError(
                f"The swing {swing.id} has no {view.value} view.",
                try_next=f"It has {has}.",
                subject=swing.id,
            )
        return self.swing_path(swing.id) / recording.file

    def _folder(self, swing_id: SwingId) -> str:
        found = self._rows("SELECT folder FROM swings WHERE id = ?", [swing_id])
        if not found:
            raise missing(Subject.SWING, swing_id)
        return str(found[0]["folder"])

    def _swings(self, where: str, values: Sequence[object]) -> tuple[Swing, ...]:
        with self._lock:
            rows = self._rows(f"SELECT * FROM swings {where}", values)
            ids = json.dumps([row["id"] for row in rows])
            children = {table: self._children(table, ids) for table in CHILDREN}
        return tuple(
            swing_from(row, {table: children[table].get(str(row["id"]), []) for table in CHILDREN})
            for row in rows
        )

    def _children(self, table: str, ids: str) -> dict[str, list[Row]]:
        among = "(SELECT value FROM json_each(?))"
        sql = f"SELECT * FROM {table} WHERE swing_id IN {among} ORDER BY swing_id, place"
        by_swing: dict[str, list[Row]] = {}
        for row in self._rows(sql, [ids]):
            by_swing.setdefault(str(row["swing_id"]), []).append(row)
        return by_swing


def _candidate(row: Row) -> Candidate:
    return Candidate(str(row["id"]), f"{row['id']} ({row['club']}, {row['struck_at']})")


def _number(value: Plain) -> float:
    if not isinstance(value, int | float):
        msg = f"a number is needed, got {type(value).__name__}"
        raise TypeError(msg)
    return value
