"""The engine: events that are only ever added, the steps of a session, and the state they fold into.

What is said of each step is in ``steps``; which keys do what in ``commands``. Nothing here reads a clock or a file.
"""
