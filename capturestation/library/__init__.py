"""The only user of SQL: students, lessons, swings, and the swing folders on disk.

Owns the rows, and the rule that the folders are the truth and the rows their view. Refuses to read
a video or to decide anything about a swing. Called by station.
"""

from capturestation.library.check import CheckReport, Finding, Problem
from capturestation.library.library import Library
from capturestation.library.rebuild import RebuildReport, rebuild

__all__ = ["CheckReport", "Finding", "Library", "Problem", "RebuildReport", "rebuild"]
