"""How many rows a gauge tube and a separator have: what is usual, and the limits. Ours."""

TUBE_ROWS = 60
LEAST_TUBE_ROWS, MOST_TUBE_ROWS = 30, 200
SEPARATOR_ROWS = 8
