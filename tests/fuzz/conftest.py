"""The modules of this folder are imported by their bare names, by tests as by the long run."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
