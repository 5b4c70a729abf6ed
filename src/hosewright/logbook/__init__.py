"""The logbook: where sessions and their events are stored, and the files they travel in."""
