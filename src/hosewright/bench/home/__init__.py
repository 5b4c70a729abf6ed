"""The bench's home: what is on the machine, what waits, what to do next."""
