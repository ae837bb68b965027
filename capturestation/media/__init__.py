"""The only user of PyAV: probe, frame index, exact frames, sound, and writing clips."""
