"""The screen at the crank, its panels and the list of observations.

What a key does is ``counting``'s, what a session asks of the hands ``session``'s; here it is only shown.
"""
