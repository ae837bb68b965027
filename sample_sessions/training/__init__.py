"""How the club network comes about: invented pictures with their truth, learning, export.

Runs on a machine with a graphics card (`RECIPE.md`); nothing here is imported by the station.
"""
