"""What is worked out from sessions each time it is asked for: yarn stock, promised pairs, a machine's care."""
