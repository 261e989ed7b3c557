"""The sRGB profile that every file of ours carries, the same bytes in every run.

sRGB by IEC 61966-2-1; the profile as LittleCMS makes it, with a fixed date in place of today's.
"""

from __future__ import annotations

from functools import cache

_DATE = slice(24, 36)  # ICC.1:2010, 7.2.8: when the profile was made
_FIXED_DATE = bytes.fromhex("07d0 0001 0001 0000 0000 0000")  # 1 January 2000


@cache
def srgb_profile() -> bytes:
    """An ICC profile of sRGB."""
    from PIL import ImageCms

    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile[_DATE] = _FIXED_DATE
    return bytes(profile)
