"""Today's swing against the student's own: who may be compared, on what times, with what result.

Owns the choice of the earlier swing, the map between two swings' times, what plays when in a
clip, and paired differences. Refuses files, clocks and pictures: numbers in, numbers out.
"""
