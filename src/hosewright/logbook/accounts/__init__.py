"""Worked out from sessions each time it is asked for: yarn stock, pairs, a machine's rows and care, its needles.

Nothing here is kept, and nothing is said in words: that is for ``words``.
"""
