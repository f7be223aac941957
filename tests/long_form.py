"""Whether the long forms run. `start.py test --full` runs them: the same tests, with some ten times the cases.

Sizes are set so that all of it takes little more than an hour on two cores. For more cases raise a
size by hand and run its file.
"""

import os

FULL = bool(os.environ.get("REGRIND_FULL"))
