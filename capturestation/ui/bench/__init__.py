"""The Bench: where coach and student look at a swing.

Owns its widgets. What is shown is decided in `station.bench`, painted by `drawing`.
"""
