"""The invented contests of a first start: what their books hold, and what no book can hold."""

BOSS = "superintendent"
"""Whose changes they are, where no helper made them."""
