"""The Book: students, lessons and swings, leafed through like a notebook with contact prints."""
