"""Looking a logbook over, rescuing, restoring, forgetting a wearer, errands for whoever has it open.

How damage is seen as a file is opened: ``logbook.file``.
"""
