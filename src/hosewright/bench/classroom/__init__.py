"""The teacher's screens."""
