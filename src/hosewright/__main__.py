"""``python -m hosewright``."""

import sys

from hosewright.cli import main

sys.exit(main())
