"""Starts for a new contest by species, collected from what is published; none is anybody's official rules."""

from contest.setup.presets import dairy, horse, livestock, meats, poultry, young_farmers
from contest.setup.presets.preset import Preset

__all__ = ["PRESETS", "Preset"]

PRESETS: dict[str, Preset] = {
    module.PRESET.code: module.PRESET for module in (livestock, horse, dairy, meats, poultry, young_farmers)
}
