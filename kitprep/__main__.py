"""``python -m kitprep`` is the command `kitprep`."""

from __future__ import annotations

import sys

from kitprep.cli import main

sys.exit(main())
