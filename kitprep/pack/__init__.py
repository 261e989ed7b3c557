"""Places sizes on sheets of paper and orders the cuts; knows no pixels."""

from kitprep.pack.packer import TRIMMER_LENGTH, pack
from kitprep.pack.packing import (
    Axis,
    Cut,
    CutMode,
    Edge,
    PackedSheet,
    Packing,
    PackItem,
    Placement,
)

__all__ = [
    "TRIMMER_LENGTH",
    "Axis",
    "Cut",
    "CutMode",
    "Edge",
    "PackItem",
    "PackedSheet",
    "Packing",
    "Placement",
    "pack",
]
