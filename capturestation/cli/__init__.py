"""Commands over the station, as text or JSON.

Owns words on the terminal, exit codes and the stop key. Refuses to decide anything: each command
calls one use case of the station.
"""
