"""The only user of SQL: students, lessons, swings, and the swing folders on disk."""
