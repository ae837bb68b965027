"""A synchronised two-camera station for golf lessons.

Every struck ball is kept from two angles on one clock, whose zero is impact, and laid against the
student's own earlier best. DEVELOPERS.md draws the layers; an import contract keeps them.
"""

__version__ = "0.1.0"
