"""From typed lines to a planned sock and its numbers, and from a plan to the start of a session. No screen.

`plan_lines` declares every line, `typed` reads them; `fabric` is the washed knitting a sock is worked out from,
`gauges` those of the logbook; `sock` computes the sock and its shape, `fit` how it lies round foot and leg,
`sock_lines` says its numbers; `starting` how a session begins. The arithmetic itself is `craft`'s.
"""
