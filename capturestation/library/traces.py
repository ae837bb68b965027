"""What is left of what was deleted: on the disk, in the rows, and in bytes of files of rows."""

from __future__ import annotations

import json
from pathlib import Path

from capturestation.folders import PARTIAL
from capturestation.library.check import holds, swing_folders
from capturestation.library.places import Subject
from capturestation.library.settle import TABLES
from capturestation.library.store import Store
from capturestation.library.swap import side_files


class Traces(Store):
    """Answers whether a deletion left nothing; changes nothing."""

    def was_deleted(self, subject: Subject, key: str) -> bool:
        """Whether a thing of that id was in this library and is not any more."""
        return self.places.tombstone(key).exists() and not self._exists(subject, key)

    def old_copies(self) -> tuple[Path, ...]:
        """Copies of earlier rows, from before an upgrade or a rebuild; they name people too."""
        return tuple(self.places.old_copies())

    def half_gone(self) -> tuple[Path, ...]:
        """What is still there though its tombstone says that it is gone: files, folders, rows."""
        places = self.places
        gone = {path.stem for path in places.gone.glob("[!.]*.json")}
        documents = [
            path
            for subject in Subject
            if subject is not Subject.SWING
            for path in places.folder_of(subject).glob("*.json")
        ]
        trashed = places.trash.glob("*") if places.trash.is_dir() else ()
        there = [*documents, *swing_folders(places.swings), *trashed]
        named = [p for p in there if p.name.removesuffix(PARTIAL).removesuffix(".json") in gone]
        return (*sorted(named), *((places.database,) if self._rows_of(gone) else ()))

    def _rows_of(self, keys: set[str]) -> bool:
        among = "(SELECT value FROM json_each(?))"
        asked = json.dumps(sorted(keys))
        return any(
            self._rows(f"SELECT id FROM {table} WHERE id IN {among} LIMIT 1", [asked])
            for table in TABLES.values()
        )

    def mentions(self, words: str) -> bool:
        """Whether any text in the rows holds these words, in somebody else's notes or name."""
        for table in self._rows("SELECT name FROM sqlite_master WHERE type = 'table'"):
            for column in self._rows(f"PRAGMA table_info({table['name']})"):
                held = f"SELECT 1 FROM {table['name']} WHERE instr({column['name']}, ?) LIMIT 1"
                if column["type"] == "TEXT" and self._rows(held, [words]):
                    return True
        return False

    def unwritten(self) -> tuple[Path, ...]:
        """The write-ahead file, where it holds rows as they were: others have the library open."""
        sides = side_files(self.places.database)
        return tuple(
            p for p in sides if p.name.endswith("-wal") and p.exists() and p.stat().st_size
        )

    def files_naming(self, words: str) -> tuple[Path, ...]:
        """The files of rows, and copies of earlier rows, in whose bytes these words still stand.

        Args:
            words: A name, or anything else that a deletion should have taken away.
        """
        database = self.places.database
        rows = [database, *side_files(database), *self.places.old_copies()]
        return tuple(path for path in rows if path.is_file() and holds(path, words.encode()))
