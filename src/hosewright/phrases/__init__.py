"""Small pieces of text that any room may need: days, times, figures, columns, text made harmless.

No logbook, no screen.
"""
