"""What happens to a card between a hand and a file: smudges, rings, folds, shadows, a lens, a scanner, JPEG."""

from __future__ import annotations

import io
import random
from functools import cache

import numpy as np
from PIL import Image, ImageFilter

from tests.contest.scanning.pens import FINE, Drawn

DPIS = (100, 150, 200, 300)


def smudged(card: Drawn, dice: random.Random) -> None:
    """A thumb over pencil: a pale, soft patch, and dust from an eraser."""
    left, top = card.field_at
    x, y = left + dice.uniform(5, card.field.width - 14), top + dice.uniform(15, card.field.height + 1)
    _shaded(card, x, y, dice.uniform(4, 12), dice.uniform(3, 7), dice.uniform(0.05, 0.16), soft=1.0)
    card.done.append("smudge")


def ringed(card: Drawn, dice: random.Random) -> None:
    """What a cup leaves."""
    left, top = card.field_at
    size = dice.uniform(28, 42)
    x, y = left + dice.uniform(0, card.field.width + 1), top + dice.uniform(-5, card.field.height + 6)
    rows, columns = _grid(card)
    away = np.hypot(columns - x, rows - y)
    ring = np.exp(-(((away - size) / dice.uniform(0.8, 1.6)) ** 2)) * dice.uniform(0.12, 0.35)
    _darkened(card, 1 - ring)
    card.done.append("coffee ring")


def dog_eared(card: Drawn, dice: random.Random) -> None:
    """A corner that is folded away: nothing of it is seen, but the shadow of the fold."""
    rows, columns = _grid(card)
    wide, high = card.picture.width / FINE, card.picture.height / FINE
    reach = dice.uniform(8, 22)
    x = columns if dice.random() < 0.5 else wide - columns
    y = rows if dice.random() < 0.5 else high - rows
    seen = np.asarray(card.picture, dtype=np.float32)
    over = x + y - reach
    seen = np.where(over < 0, 225, seen) * (1 - 0.3 * np.exp(-((over / 1.2) ** 2)))
    card.picture = Image.fromarray(seen.clip(0, 255).astype(np.uint8))
    card.done.append("bent corner")


def _shaded(card: Drawn, x: float, y: float, wide: float, high: float, dark: float, soft: float) -> None:
    rows, columns = _grid(card)
    away = ((columns - x) / wide) ** 2 + ((rows - y) / high) ** 2
    _darkened(card, 1 - dark * np.exp(-away / soft))


def _grid(card: Drawn) -> tuple[np.ndarray, np.ndarray]:
    rows = np.arange(card.picture.height, dtype=np.float32)[:, None] / FINE
    columns = np.arange(card.picture.width, dtype=np.float32)[None, :] / FINE
    return rows, columns


def _darkened(card: Drawn, by: np.ndarray) -> None:
    seen = np.asarray(card.picture, dtype=np.float32) * by
    card.picture = Image.fromarray(seen.clip(0, 255).astype(np.uint8))


def seen(card: Drawn, dice: random.Random, dpi: int, by: str = "") -> Image.Image:
    """A card as a scanner or a phone hands it over, at so many dots an inch."""
    by = by or dice.choices(["scanner", "copier", "phone"], [60, 15, 25])[0]
    card.done += [by, f"{dpi} dpi"]
    picture = _turned(card, dice, dpi, by)
    picture = picture.filter(ImageFilter.GaussianBlur(_blur(card, dice, dpi, by)))
    light = np.asarray(picture, dtype=np.float32)
    light = light * _light(card, dice, light.shape, by)
    if by == "copier":  # hard contrast, and specks
        light = (light - 128) * dice.uniform(1.2, 1.7) + 140
        light = np.where(_grain(dice, light.shape) > 3.35, 40, light)
    noise = np.random.default_rng(dice.getrandbits(32)).normal(
        0, dice.uniform(1, 3.5 if by == "scanner" else 7), light.shape
    )
    picture = Image.fromarray((light + noise).clip(0, 255).astype(np.uint8))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=dice.randint(45, 90))
    return Image.open(written).convert("L")


@cache
def _much_grain() -> np.ndarray:
    """Noise to cut from: making it anew for each card would take most of the time."""
    return np.random.default_rng(1).standard_normal((4500, 4500), dtype=np.float32)


def _grain(dice: random.Random, shape: tuple[int, ...]) -> np.ndarray:
    rows, columns = dice.randrange(4500 - shape[0]), dice.randrange(4500 - shape[1])
    return _much_grain()[rows : rows + shape[0], columns : columns + shape[1]]


def _turned(card: Drawn, dice: random.Random, dpi: int, by: str) -> Image.Image:
    """Skewed, turned and, by a phone, seen from aside; with some of the table around it."""
    scale = dpi / 300
    wide, high = card.picture.width * scale, card.picture.height * scale
    around = round(0.06 * high)
    size = (round(wide) + 2 * around, round(high) + 2 * around)
    corners = np.array(
        [(around, around), (around + wide, around), (around + wide, around + high), (around, around + high)]
    )
    middle = corners.mean(axis=0)
    angle = np.radians(dice.gauss(0, 1.2 if by != "phone" else 3))
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    corners = (corners - middle) @ turn.T + middle
    if by == "phone":
        corners += np.array([[dice.uniform(-0.03, 0.03) * high for _axis in (0, 1)] for _corner in corners])
        card.done.append("perspective")
    table = dice.choice([255, 245, 120, 60]) if by == "phone" else 255
    picture = _from_corners(card.picture, size, corners, table)
    quarter = dice.choice([0, 0, 0, 1, 2, 3])
    return picture.rotate(90 * quarter, expand=True) if quarter else picture


def _from_corners(picture: Image.Image, size: tuple[int, int], corners: np.ndarray, table: int) -> Image.Image:
    """A picture whose corners lie there in another. Shrunk first, as a lens takes in all light."""
    shrunk = picture.resize(
        (max(1, round(np.hypot(*(corners[1] - corners[0])))), max(1, round(np.hypot(*(corners[3] - corners[0]))))),
        Image.Resampling.BOX,
    )
    from_corners = [(0, 0), (shrunk.width, 0), (shrunk.width, shrunk.height), (0, shrunk.height)]
    rows, values = [], []
    for (x, y), (u, v) in zip(corners, from_corners, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    numbers = np.linalg.solve(np.array(rows), np.array(values))
    return shrunk.transform(
        size, Image.Transform.PERSPECTIVE, tuple(numbers), resample=Image.Resampling.BILINEAR, fillcolor=table
    )


def _blur(card: Drawn, dice: random.Random, dpi: int, by: str) -> float:
    """In dots: a scanner's optics hardly, a phone's hand more."""
    if by == "phone" and dice.random() < 0.3:
        card.done.append("blur")
        return dice.uniform(0.12, 0.2) * dpi / 25.4
    return dice.uniform(0.02, 0.08) * dpi / 25.4


def _light(card: Drawn, dice: random.Random, shape: tuple[int, ...], by: str) -> np.ndarray:
    rows = np.linspace(0, 1, shape[0], dtype=np.float32)[:, None]
    columns = np.linspace(0, 1, shape[1], dtype=np.float32)[None, :]
    slope = dice.uniform(0, 0.06 if by != "phone" else 0.35)
    angle = dice.uniform(0, 2 * np.pi)
    across, along = np.float32(np.cos(angle)), np.float32(np.sin(angle))
    light = dice.uniform(0.88, 1.0) - slope * (across * (columns - 0.5) + along * (rows - 0.5) + 0.5)
    if by == "phone" and dice.random() < 0.3:
        card.done.append("shadow")
        edge = (across * (columns - 0.5) - along * (rows - 0.5) + dice.uniform(-0.3, 0.3)) / dice.uniform(0.01, 0.15)
        light = light * (1 - dice.uniform(0.15, 0.45) / (1 + np.exp(-edge.clip(-30, 30))))
    return light
