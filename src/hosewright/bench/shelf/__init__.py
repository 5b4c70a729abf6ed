"""Machines, cylinders, yarns and wearers: their list and their forms."""
