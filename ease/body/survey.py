"""How the measures of surveyed women are spread: quantiles, cm (kg for the weight)."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

__all__ = ["OF_WHOM", "PERCENTILES", "SURVEY"]

PERCENTILES: Final = (0.0, 1.0, 5.0, 25.0, 50.0, 75.0, 95.0, 99.0, 100.0)

#: Whom a percentile stands for, in words for a caption.
OF_WHOM: Final = (
    "among 993 women soldiers (ansur-2012); of high bust and waist among 260 active "
    "women (bdims-2003)"
)

# Half of the 1986 women of a survey of soldiers, 17 to 58 years old (n 993; fitter than
# the public, fewer large sizes), lengths taken to the natural waist. Source key:
# ansur-2012. High bust and waist: 260 active adults. Source key: bdims-2003.
SURVEY: Final[Mapping[str, tuple[float, ...]]] = MappingProxyType(
    {
        "bust": (73.7, 78.4, 82.1, 88.7, 94.0, 99.8, 109.8, 116.0, 126.6),
        "high_bust": (72.6, 74.1, 77.0, 82.0, 85.5, 89.5, 97.1, 105.9, 109.0),
        "waist": (57.9, 58.0, 60.5, 64.8, 68.3, 72.8, 85.0, 95.0, 101.5),
        "hip": (80.1, 86.7, 90.2, 96.8, 101.6, 107.3, 115.7, 120.5, 134.1),
        "thigh": (44.8, 49.3, 52.9, 57.9, 61.4, 65.3, 71.2, 74.0, 87.0),
        "stature": (140.9, 149.3, 153.0, 158.5, 162.3, 167.0, 173.6, 178.7, 182.9),
        "weight_kg": (42.6, 47.1, 51.3, 59.9, 66.8, 74.6, 87.5, 96.5, 119.6),
        "nape_to_waist": (31.1, 32.9, 34.5, 36.6, 38.0, 39.4, 41.6, 43.2, 46.7),
        "front_neck_to_waist": (24.5, 26.1, 27.4, 29.4, 30.9, 32.3, 34.7, 36.2, 38.4),
        "waist_to_hip": (12.1, 14.8, 16.3, 17.9, 19.2, 20.5, 22.3, 23.6, 24.8),
        "body_rise": (17.9, 20.3, 21.4, 23.0, 24.2, 25.7, 27.6, 28.7, 30.9),
        "crotch_length": (58.5, 61.3, 63.7, 67.8, 71.1, 74.4, 79.3, 82.8, 93.7),
        "torso_loop": (134.2, 139.1, 144.5, 150.9, 155.2, 161.0, 168.5, 174.5, 180.4),
        "back_width": (31.0, 33.5, 35.4, 37.9, 39.5, 41.2, 43.7, 45.5, 49.3),
        "shoulder": (10.8, 11.4, 12.0, 12.8, 13.5, 14.2, 15.2, 16.0, 17.5),
        "neck_base": (32.1, 33.0, 34.0, 35.8, 37.0, 38.1, 40.4, 42.6, 45.7),
        "shoulder_girth": (88.4, 92.5, 94.5, 99.0, 102.7, 106.0, 111.5, 116.7, 122.5),
    }
)
