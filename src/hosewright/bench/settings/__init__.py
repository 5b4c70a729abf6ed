"""The settings screen and its keys."""
