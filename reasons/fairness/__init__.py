"""Is one room harder than another? What each official gave, and how it compares with what the others gave.

Pure Python: no Django, no NumPy. Nothing here changes a score. These are statistics, and so floats; scores are not.
"""

from reasons.fairness.correcting import corrections
from reasons.fairness.evenness import Ranked
from reasons.fairness.figures import Figures, beside_placings, figures, spread
from reasons.fairness.shifts import Heard, Shift, Unknown, shifts
from reasons.fairness.words import signed, verdict

__all__ = [
    "Figures",
    "Heard",
    "Ranked",
    "Shift",
    "Unknown",
    "beside_placings",
    "corrections",
    "figures",
    "shifts",
    "signed",
    "spread",
    "verdict",
]
