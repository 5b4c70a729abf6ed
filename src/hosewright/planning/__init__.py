"""From typed lines to a planned sock and its numbers, and from a plan to the start of a session. No screen."""
