"""The bench: the Textual dashboard that stands beside the machine."""
