"""From keys to events: what each command does to a session, readings, the key table as set.

Bench and line mode share it.
"""
