"""The bench's home: what is on the machine, what waits, what to do next.

Which of these there are is read by ``logbook.glance``; the screens its keys lead to stand in ``bench.doors``.
"""
