"""Finding what was cranked: sessions by words, what a yarn did, what earlier sessions tell a new plan.

How the tables it asks are filled: ``logbook.file.lists`` and ``logbook.projections``.
"""
