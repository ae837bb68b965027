"""The only painter: labels, captions and the strip of time on plain pictures, no widgets.

Owns how the station looks on a clip and on the screen, so that both look alike. Refuses files
and windows: pictures in, pictures out.
"""
