"""Looking back: the list of sessions, a session's page, replay, two side by side, yarn cards."""
