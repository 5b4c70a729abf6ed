"""The sock from the side, true to its gauge: its shape in mm, in the cells of a terminal, as SVG. No Textual here.

``shape`` says which row or pass every place of the sock is; ``cells`` and ``drawing`` show it; ``of_sock`` makes it
from a plan or a session and says how far it is cranked; ``dyed`` has the yarn's colours. What a screen does with it is
in ``bench``.
"""
