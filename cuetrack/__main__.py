"""``python -m cuetrack`` does what ``cuetrack`` does."""

import sys

from cuetrack.cli.main import main

sys.exit(main())
