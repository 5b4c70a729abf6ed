"""Looking back: the list of sessions, a session's page, replay, two side by side, yarn cards.

The words of a page are ``paper``'s, finding a session ``logbook.find``'s.
"""
