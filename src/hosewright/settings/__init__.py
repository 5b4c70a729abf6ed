"""What the knitter may set: the table of settings, its file, and what TOML files need. No screen."""

from hosewright.settings.table import Settings as Settings
