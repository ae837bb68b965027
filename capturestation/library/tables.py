"""The SQL of the schema's steps, as it was released; see `schema` for their order."""

from __future__ import annotations

_CHILD = "swing_id TEXT NOT NULL REFERENCES swings(id) ON DELETE CASCADE, place INTEGER NOT NULL"

FIRST = (
    """CREATE TABLE students (
        id TEXT PRIMARY KEY, name TEXT NOT NULL, name_folded TEXT NOT NULL, hand TEXT NOT NULL,
        birth_year INTEGER, limits_today TEXT NOT NULL, notes TEXT NOT NULL) STRICT""",
    """CREATE TABLE consents (
        student_id TEXT NOT NULL REFERENCES students(id) ON DELETE CASCADE,
        place INTEGER NOT NULL, purpose TEXT NOT NULL, giver TEXT NOT NULL,
        given INTEGER NOT NULL, given_on TEXT NOT NULL, written_by TEXT NOT NULL,
        PRIMARY KEY (student_id, place)) STRICT""",
    """CREATE TABLE lessons (
        id TEXT PRIMARY KEY, student_id TEXT NOT NULL REFERENCES students(id),
        held_on TEXT NOT NULL, focus TEXT NOT NULL, notes TEXT NOT NULL) STRICT""",
    """CREATE TABLE swings (
        id TEXT PRIMARY KEY, student_id TEXT NOT NULL REFERENCES students(id),
        lesson_id TEXT NOT NULL REFERENCES lessons(id), folder TEXT NOT NULL UNIQUE,
        struck_at TEXT NOT NULL, struck_utc_us INTEGER NOT NULL, made_by TEXT NOT NULL,
        club TEXT NOT NULL, club_group TEXT NOT NULL, kind TEXT NOT NULL, zero TEXT NOT NULL,
        ball_start TEXT NOT NULL, ball_curve TEXT NOT NULL, ball_contact TEXT NOT NULL,
        ball_rating INTEGER, starred INTEGER NOT NULL, notes TEXT NOT NULL) STRICT""",
    f"""CREATE TABLE recordings ({_CHILD},
        view TEXT NOT NULL, file TEXT NOT NULL, sha256 TEXT NOT NULL, size_bytes INTEGER NOT NULL,
        width_px INTEGER NOT NULL, height_px INTEGER NOT NULL, frames INTEGER NOT NULL,
        rate_hz TEXT, time_base TEXT NOT NULL, first_pts INTEGER NOT NULL,
        duration_ns INTEGER NOT NULL, has_sound INTEGER NOT NULL, camera TEXT NOT NULL,
        PRIMARY KEY (swing_id, place)) STRICT""",
    f"""CREATE TABLE syncs ({_CHILD},
        view TEXT NOT NULL, swing_minus_media_ns INTEGER NOT NULL, u_ns INTEGER NOT NULL,
        source TEXT NOT NULL, parts TEXT NOT NULL, said TEXT NOT NULL, sound_ns INTEGER,
        last_with_ns INTEGER, first_without_ns INTEGER, picture_minus_sound_ns INTEGER,
        PRIMARY KEY (swing_id, place)) STRICT""",
    f"""CREATE TABLE marks ({_CHILD},
        moment TEXT NOT NULL, occurs INTEGER NOT NULL, at_ns INTEGER, early_ns INTEGER,
        late_ns INTEGER, confidence REAL NOT NULL, source TEXT NOT NULL, method TEXT NOT NULL,
        PRIMARY KEY (swing_id, place)) STRICT""",
    f"""CREATE TABLE results ({_CHILD},
        name TEXT NOT NULL, moment TEXT, value REAL, unit TEXT, u_random REAL, u_systematic REAL,
        cause TEXT, why_missing TEXT NOT NULL, method TEXT NOT NULL,
        PRIMARY KEY (swing_id, place)) STRICT""",
)

CALIBRATIONS = (
    """CREATE TABLE calibrations (
        id TEXT PRIMARY KEY, camera TEXT NOT NULL, valid_from TEXT NOT NULL,
        valid_from_utc_us INTEGER NOT NULL, document TEXT NOT NULL) STRICT""",
)

UNSETTLED = (
    """CREATE TABLE unsettled (
        subject TEXT NOT NULL, id TEXT NOT NULL, folder TEXT NOT NULL,
        PRIMARY KEY (subject, id)) STRICT""",
)

PLACES_IN_PICTURE = (
    "ALTER TABLE syncs ADD COLUMN contact_seen_ns INTEGER",
    "ALTER TABLE syncs ADD COLUMN contact_seen_u_ns INTEGER",
    "ALTER TABLE syncs ADD COLUMN media_per_swing TEXT NOT NULL DEFAULT '1/1'",
    "CREATE INDEX recordings_of_camera ON recordings (camera, swing_id)",
)

INDEXES = (
    "CREATE INDEX students_by_name ON students (name_folded, id)",
    "CREATE INDEX lessons_newest ON lessons (student_id, held_on DESC, id)",
    "CREATE INDEX swings_of_lesson ON swings (lesson_id, struck_utc_us, id)",
    "CREATE INDEX swings_of_student ON swings (student_id, struck_utc_us, id)",
    """CREATE INDEX swings_best ON swings
        (student_id, kind, club_group, starred DESC, ball_rating DESC, struck_utc_us DESC, id)""",
    "CREATE INDEX recordings_by_hash ON recordings (sha256)",
    "CREATE INDEX calibrations_held ON calibrations (camera, valid_from_utc_us DESC, id)",
)

NEWEST_INDEXES = (
    "CREATE INDEX lessons_by_day ON lessons (held_on DESC, id)",
    "CREATE INDEX swings_newest ON swings (struck_utc_us DESC, id)",
)

BAYS = (
    "ALTER TABLE calibrations ADD COLUMN bay TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE calibrations ADD COLUMN kind TEXT NOT NULL DEFAULT 'full'",
    "ALTER TABLE calibrations ADD COLUMN u_place_mm REAL",
    "ALTER TABLE calibrations ADD COLUMN u_turn_deg REAL",
    "ALTER TABLE calibrations ADD COLUMN reference TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE calibrations ADD COLUMN withdrawn_at TEXT",
    "ALTER TABLE swings ADD COLUMN moved TEXT NOT NULL DEFAULT '[]'",
)

EXCHANGED = ("ALTER TABLE swings ADD COLUMN exchanged INTEGER NOT NULL DEFAULT 0",)

DRAWN = (
    "ALTER TABLE swings ADD COLUMN drawings TEXT NOT NULL DEFAULT '[]'",
    "ALTER TABLE swings ADD COLUMN spots TEXT NOT NULL DEFAULT '[]'",
    "ALTER TABLE lessons ADD COLUMN drawings TEXT NOT NULL DEFAULT '[]'",
)
