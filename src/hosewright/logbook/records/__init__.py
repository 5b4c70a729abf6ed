"""What is kept, as pydantic models: the shelf, the year around the machine, the frozen start of a session; ids."""
