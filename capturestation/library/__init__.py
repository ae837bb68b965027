"""The only user of SQL: students, lessons, swings, and the swing folders on disk.

Owns the rows, and the rule that the folders are the truth and the rows their view. Refuses to read
a video or to decide anything about a swing. Called by station.
"""

from capturestation.library.backup import (
    BackupCard,
    BackupReport,
    back_up,
    card_in,
    known_backups,
)
from capturestation.library.check import CheckReport, Finding, Problem
from capturestation.library.housing import Housing, Why, keep_rows_apart
from capturestation.library.library import Library
from capturestation.library.merge import merge_library
from capturestation.library.merge_report import (
    Conflict,
    Difference,
    MergeItem,
    MergeReport,
    Outcome,
    Side,
)
from capturestation.library.places import Subject
from capturestation.library.rebuild import RebuildReport, rebuild
from capturestation.library.restoring import Restored, relocate, restore
from capturestation.library.trash import Trashed

__all__ = [
    "BackupCard",
    "BackupReport",
    "CheckReport",
    "Conflict",
    "Difference",
    "Finding",
    "Housing",
    "Library",
    "MergeItem",
    "MergeReport",
    "Outcome",
    "Problem",
    "RebuildReport",
    "Restored",
    "Side",
    "Subject",
    "Trashed",
    "Why",
    "back_up",
    "card_in",
    "keep_rows_apart",
    "known_backups",
    "merge_library",
    "rebuild",
    "relocate",
    "restore",
]
