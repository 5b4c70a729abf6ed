"""What is kept, as pydantic models: the shelf, the year around the machine, the frozen start of a session; ids.

Events are no models: they stand in ``session.events``, and ``logbook.file.coding`` reads them.
"""
