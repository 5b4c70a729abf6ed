"""The screen at the crank, its panels and the list of observations."""
