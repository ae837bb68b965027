"""The bay while a lesson is recorded: who is hitting, what is kept, how the cameras are doing.

Owns every state of it without a window, and what is told to the recording process.
"""
