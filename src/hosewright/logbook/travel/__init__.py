"""Sessions and the shelf on their way out of a logbook and into another: files, export, import, merge."""
