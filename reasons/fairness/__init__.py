"""Is one room harder than another? What each official gave, and how it compares with what the others gave.

Pure Python: no Django, no NumPy. Nothing here changes a score. These are statistics, and so floats; scores are not.
"""

from reasons.fairness.shifts import Figures, Heard, Shift, figures, shifts, signed, spread, t_quantile, verdict

__all__ = ["Figures", "Heard", "Shift", "figures", "shifts", "signed", "spread", "t_quantile", "verdict"]
