from __future__ import annotations

import struct
from io import BytesIO

import numpy as np
import pytest
from files.kit.test_kit_colour import wide_profile
from PIL import Image, ImageCms

from kitprep.files.icc_curve import light_of_profile
from kitprep.files.srgb import srgb_profile


def with_curve(tag: bytes) -> bytes:
    """A grey profile of one curve (ICC.1:2010, 7.2 and 7.3); only what is read here."""
    header = bytes(16) + b"GRAY" + bytes(108)
    return header + struct.pack(">I4sII", 1, b"kTRC", 144, len(tag)) + tag


def para(kind: int, *values: float) -> bytes:
    return (
        b"para\0\0\0\0"
        + struct.pack(">HH", kind, 0)
        + b"".join(struct.pack(">i", round(v * 65536)) for v in values)
    )


def test_the_curve_of_srgb_is_that_of_its_standard() -> None:
    code = np.linspace(0, 1, 65536)
    # IEC 61966-2-1
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    found = light_of_profile(srgb_profile())
    assert found is not None
    assert np.abs(found - light).max() < 2e-5


def test_the_curve_of_a_wide_profile_is_what_littlecms_makes_of_its_greys() -> None:
    found = light_of_profile(wide_profile())
    assert found is not None
    grey = Image.frombytes("RGB", (256, 1), bytes(level for level in range(256) for _ in range(3)))
    shown = ImageCms.profileToProfile(
        grey,
        ImageCms.ImageCmsProfile(BytesIO(wide_profile())),
        ImageCms.createProfile("sRGB"),
        ImageCms.Intent(1),
    )
    assert shown is not None
    code = np.asarray(shown)[0, :, 1] / 255
    light = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    assert np.abs(found[np.arange(256) * 257] - light).max() < 0.006  # a step of 8 bits near white


@pytest.mark.parametrize(
    ("tag", "half"),
    [
        (b"curv\0\0\0\0" + struct.pack(">I", 0), 0.5),
        (b"curv\0\0\0\0" + struct.pack(">IH", 1, 0x0200), 0.25),
        (b"curv\0\0\0\0" + struct.pack(">I3H", 3, 0, 16384, 65535), 0.25),
        (para(0, 2.0), 0.25),
        (para(1, 2.0, 1.0, -0.25), 0.0625),
        (para(2, 2.0, 0.5, 0.0, 0.1), 0.1625),
        (para(3, 2.0, 1.0, 0.0, 0.1, 0.6), 0.05),
        (para(4, 2.0, 0.8, 0.0, 0.1, 0.2, 0.1, 0.0), 0.26),
    ],
)
def test_every_kind_of_curve_is_followed(tag: bytes, half: float) -> None:
    """Half way, by the formulae of ICC.1:2010, 10.5 and 10.16, worked by hand."""
    light = light_of_profile(with_curve(tag))
    assert light is not None
    assert light[32768] == pytest.approx(half, abs=5e-5)
    assert (np.diff(light) >= 0).all()


@pytest.mark.parametrize(
    "icc",
    [
        b"",
        with_curve(b""),
        with_curve(b"curv\0\0\0\0" + struct.pack(">I", 500)),
        with_curve(para(9, 1.0)),
        with_curve(para(1, 2.0, 0.0, 1.0)),
        with_curve(b"curv\0\0\0\0" + struct.pack(">I2H", 2, 65535, 0)),
        with_curve(b"mft2"),
        bytes(16) + b"CMYK" + bytes(200),
    ],
)
def test_what_has_no_usable_curve_has_none(icc: bytes) -> None:
    assert light_of_profile(icc) is None
