"""What screen, paper and command line say alike: pairs, yarn stock, care, the shelf, a class, a session's story.

What a step or an event is called stands in ``session``; days, times and figures are put into words by ``phrases``.
"""
