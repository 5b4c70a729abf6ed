"""Around the year: yarn stock and lots, promised pairs, care cards, a machine's care.

What is left, promised or due is worked out by ``logbook.accounts`` and said by ``words``.
"""
