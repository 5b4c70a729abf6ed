"""From keys to events: what each command does, which presses can be rows, readings, replay, one step at a time.

Bench and line mode share it. The table of commands and the words of the steps are in ``session``.
"""
