"""Planning a sock, and what is worked out from one gauge: cylinders, sizes, the dial response.

The lines and all that follows from them are ``planning``'s; starting a session of a plan is in ``bench.start``.
"""
