"""The teacher's screens: learners side by side, read-only. Reading their logbooks is ``logbook.classroom``'s."""
