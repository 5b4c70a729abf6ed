"""The logbook as a file: tables, opening, lock, log, seal, backups, errors.

What a session means is not known here.
"""
