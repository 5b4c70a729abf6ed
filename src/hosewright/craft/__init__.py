"""The craft's arithmetic: pure functions of numbers, with no I/O, no clock and no screen.

Lengths are mm, masses g, a measured number carries its error, and bad input raises `errors.CraftError` with a sentence.
What each module works out, by which formula and from which source: the table in `README.md` and `sources`.
Not here: what a session does with it (`session`), lines typed for a plan and what is said of it (`planning`).
"""
