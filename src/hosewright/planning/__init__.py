"""From typed lines to a planned sock and its numbers, and from a plan to the start of a session. No screen.

`typed` declares every line and reads it; `fabric` is the washed knitting a sock is worked out from, `gauges` those of
the logbook; `sock` computes the sock, `fit` how it lies round foot and leg, `sock_lines` says its numbers, `drawn`
draws it; `starting` how a session begins. The arithmetic itself is `craft`'s.
"""
