"""The bench: the Textual dashboard that stands beside the machine."""

import os

# Must be set before Textual is imported: with the enhanced keyboard protocol every key is a multi-byte escape,
# and one split by a slow line is lost or arrives as other letters.
os.environ.setdefault("TEXTUAL_DISABLE_KITTY_KEY", "1")
