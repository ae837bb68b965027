"""Calibrations of cameras: each holds from its day until a later one of the same camera."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from capturestation.folders import check_id, write_document
from capturestation.library.places import Subject
from capturestation.library.rows import calibration_from, put_calibration, utc_us
from capturestation.library.store import Store
from capturestation.records import CalibrationKind, CalibrationRow

_HELD = "camera = ? AND valid_from_utc_us <= ? AND withdrawn_at IS NULL"


class Calibrations(Store):
    """The calibrations of a library; documents that it keeps and doesn't read."""

    def add_calibration(self, row: CalibrationRow) -> CalibrationRow:
        """Add a calibration; earlier ones stay, for swings of their time.

        Raises:
            ValueError: If the id is or was in the library, or its time has no zone.
            OutputError: If it can't be written; nothing was added.
        """
        if row.valid_from.tzinfo is None:
            msg = "valid_from needs a time zone"
            raise ValueError(msg)
        check_id(row.id)
        self._need_free(Subject.CALIBRATION, row.id)
        return self._write_calibration(row)

    def replace_calibration(self, row: CalibrationRow) -> CalibrationRow:
        """Put another version of a calibration in the place of the one that is there.

        Raises:
            NotFoundError: If there is no such calibration.
            OutputError: If it can't be written; the old stands.
        """
        self._need(Subject.CALIBRATION, row.id)
        return self._write_calibration(row)

    def withdraw_calibration(self, key: str, when: datetime | None) -> CalibrationRow:
        """Use a calibration for no swing any more, or with None use it again.

        Raises:
            NotFoundError: If there is no such calibration.
            OutputError: If it can't be written; the old stands.
        """
        row = self.calibration(key)
        return self._write_calibration(replace(row, withdrawn_at=when))

    def _write_calibration(self, row: CalibrationRow) -> CalibrationRow:
        with self._changing(Subject.CALIBRATION, row.id) as db:
            put_calibration(db, row)
            write_document(self.places.file(Subject.CALIBRATION, row.id), "calibration", row)
        return row

    def calibrations(self, camera: str | None = None) -> tuple[CalibrationRow, ...]:
        """All calibrations, or those of a camera, newest first."""
        return self._calibrations("? IS NULL OR camera = ?", [camera, camera])

    def calibration_at(self, camera: str, when: datetime) -> CalibrationRow | None:
        """The calibration that held for a camera at a time; None before its first.

        One that was withdrawn never held: the one before it did.
        """
        where = f"{_HELD} AND kind <> ?"
        found = self._calibrations(where, [camera, utc_us(when), CalibrationKind.LENS])
        return next(iter(found), None)

    def lens_at(self, camera: str, when: datetime) -> CalibrationRow | None:
        """How a camera's lens drew at a time, where that was measured by itself."""
        where = f"{_HELD} AND kind = ?"
        found = self._calibrations(where, [camera, utc_us(when), CalibrationKind.LENS])
        return next(iter(found), None)

    def calibration(self, key: str) -> CalibrationRow:
        """The calibration of that id.

        Raises:
            NotFoundError: If there is no such calibration.
        """
        self._need(Subject.CALIBRATION, key)
        [row] = self._calibrations("id = ?", [key])
        return row

    def _calibrations(
        self, where: str, values: list[str | int | None]
    ) -> tuple[CalibrationRow, ...]:
        order = "ORDER BY valid_from_utc_us DESC, id"
        rows = self._rows(f"SELECT * FROM calibrations WHERE {where} {order}", values)
        return tuple(calibration_from(row) for row in rows)
