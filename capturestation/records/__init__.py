"""Plain frozen data that every layer may hold: people, swings, times, marks, measured values.

Owns the shape of what the station knows and its plain JSON form. Refuses behaviour that needs a
file, a clock or a picture.
"""

from capturestation.records.arrays import (
    BoolArray,
    FloatArray,
    FrameArray,
    IntArray,
    SoundArray,
)
from capturestation.records.box import Box, around
from capturestation.records.calibrations import CalibrationKind, CalibrationRow
from capturestation.records.drawings import (
    PLACE_SPOTS,
    STANCE_SPOTS,
    Drawing,
    Pen,
    Point,
    Shape,
    Spot,
    SpotMark,
)
from capturestation.records.people import (
    Consent,
    Giver,
    Hand,
    Lesson,
    LessonId,
    Purpose,
    Student,
    StudentId,
    SwingId,
    new_id,
)
from capturestation.records.plain import Plain, from_plain, to_plain
from capturestation.records.planes import Planes
from capturestation.records.swings import (
    BallResult,
    ClubGroup,
    Measured,
    Recording,
    Result,
    Swing,
    SwingBook,
    SwingFacts,
    SwingKind,
    club_group,
    facts_by_book,
)
from capturestation.records.times import (
    NS_PER_S,
    ErrorPart,
    Mark,
    MarkSource,
    MediaTime,
    Moment,
    Sync,
    SyncSource,
    Zero,
    hand_mark,
    no_such_moment,
)
from capturestation.records.views import View
from capturestation.records.watch import Part, Quiet, StopAfter, Watch

__all__ = [
    "NS_PER_S",
    "PLACE_SPOTS",
    "STANCE_SPOTS",
    "BallResult",
    "BoolArray",
    "Box",
    "CalibrationKind",
    "CalibrationRow",
    "ClubGroup",
    "Consent",
    "Drawing",
    "ErrorPart",
    "FloatArray",
    "FrameArray",
    "Giver",
    "Hand",
    "IntArray",
    "Lesson",
    "LessonId",
    "Mark",
    "MarkSource",
    "Measured",
    "MediaTime",
    "Moment",
    "Part",
    "Pen",
    "Plain",
    "Planes",
    "Point",
    "Purpose",
    "Quiet",
    "Recording",
    "Result",
    "Shape",
    "SoundArray",
    "Spot",
    "SpotMark",
    "StopAfter",
    "Student",
    "StudentId",
    "Swing",
    "SwingBook",
    "SwingFacts",
    "SwingId",
    "SwingKind",
    "Sync",
    "SyncSource",
    "View",
    "Watch",
    "Zero",
    "around",
    "club_group",
    "facts_by_book",
    "from_plain",
    "hand_mark",
    "new_id",
    "no_such_moment",
    "to_plain",
]
