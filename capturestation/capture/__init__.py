"""Recording by itself: packet rings, the ear and the eye, the recorder and the station's health.

A process of its own (`python -m capturestation.capture`) that moves packets into finished folders
and nothing else. Knows no student, no lesson and no database; a slow window, disk or library can't
cost it a frame. Called by the station, by lines of JSON.
"""
