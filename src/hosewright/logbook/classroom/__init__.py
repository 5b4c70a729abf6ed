"""Learners' logbooks, looked into by a teacher and never written to."""
