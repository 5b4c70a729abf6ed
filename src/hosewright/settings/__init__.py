"""What the knitter may set: the table of settings, their file, their lines to type on, and what TOML files need.

No screen. ``table`` alone says what settings there are; all else is made from it.
"""

from hosewright.settings.table import Settings as Settings
