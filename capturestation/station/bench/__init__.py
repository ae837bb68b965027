"""What stands on the Bench: a swing, the earlier one beside it, and where we are in time.

Owns the state of looking and the threads that decode for it. Knows no window: widgets show this
state and change it, a test does the same without any.
"""
