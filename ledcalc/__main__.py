"""``python -m ledcalc`` is the command line."""

import sys

from ledcalc.cli import main

sys.exit(main())
