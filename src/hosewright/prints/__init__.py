"""Prints: what goes on paper or into a file for reading."""
