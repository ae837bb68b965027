"""The window: PyQt6 widgets over the station's objects.

Owns what is clicked, typed and seen. Knows no SQL, no file format and no arithmetic: state lives
in `station`, pictures are painted by `drawing`.
"""
