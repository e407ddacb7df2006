"""Between the database and the record of a contest: `save_record` and `load_record` are each other's inverse."""

from contest.records.loading import load_record
from contest.records.saving import save_in_pieces, save_record
from contest.records.sweeping import sweep_abandoned

__all__ = ["load_record", "save_in_pieces", "save_record", "sweep_abandoned"]
