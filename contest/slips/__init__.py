"""Slips: cards, reasons scores and marks, as they are read off paper or entered on a tablet."""
