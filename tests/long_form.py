"""Whether the long forms run. `start.py test --full` runs them: the same tests, with some ten times the cases.

Sizes are set so that all of it takes about an hour on two cores. More cases: raise a size by hand and run its file.
"""

import os

FULL = bool(os.environ.get("REGRIND_FULL"))
