"""What is heard at the machine: the system's own speaker, and short tones.

Each runs in a process of its own, told by a thread of its own: the latest words win, nothing waits in a line, and a
speaker that fails costs a sentence on the screen and never a press. What is said is in ``session.heard``.
"""
