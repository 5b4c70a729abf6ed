"""Worked out from sessions each time it is asked for: yarn stock, pairs, a machine's rows and care, its needles.

Nothing here is kept. But for whether the yarn is ``enough``, what it comes to is put into words by ``words``.
"""
