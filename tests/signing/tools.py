"""Worn tools as they come in a box, and what an experienced grinder would do with each, and why.

What a tool is goes in as a line at the counter would say it, what is wrong with it as the bench would type it. `decide`
is what the plan page must come to: "sound", "grind end", "grind sides", "grind both", "grind corner", "grind face",
"grind point", "grind chamfer", "grind periphery", "grind" (either way is right), "ask", "scrap", "hand" (the program
works nothing out and says so), "refused". Reasons are common practice unless a source is named.
"""

from .cutters import CUTTERS
from .doubtful import ASK, HAND, SCRAP
from .drills import DRILLS
from .end_forms import FORMS
from .end_mills import CORNER_WEAR, FLANK_WEAR, SOUND
from .faces_and_threads import FACES, THREADS
from .reamers import REAMERS

TOOLS = [*CORNER_WEAR, *FLANK_WEAR, *SOUND, *ASK, *SCRAP, *FORMS, *DRILLS, *REAMERS, *CUTTERS, *FACES, *THREADS, *HAND]
