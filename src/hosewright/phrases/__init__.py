"""Small pieces of text that any room may need: days, times, figures, columns, text made harmless.

`field` declares a typed line once: name, label, help, how it is read and shown. No logbook, no screen.
"""
