"""An element's picture at the size it is drawn, and the soft shadow it throws on the board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from kitprep.files.pictures import colours
from kitprep.files.pictures.board import ContactCard

if TYPE_CHECKING:
    from PIL.Image import Image


def picture_of(card: ContactCard) -> Image:
    """The thumbnail as an RGBA picture, pale where the element is likely not wanted."""
    from PIL import Image

    picture = Image.fromarray(card.thumbnail).convert("RGBA")
    if card.unwanted:
        picture.putalpha(picture.getchannel("A").point(lambda alpha: round(alpha * colours.PALE_OPACITY)))
    return picture


def on_scale(card: ContactCard, size_px: tuple[int, int]) -> Image:
    """The thumbnail in so many pixels; transparent colours do not bleed into its edge."""
    from PIL import Image

    # Pillow resizes RGBA by premultiplying with alpha itself (Image.resize converts to RGBa and back).
    return picture_of(card).resize(size_px, Image.Resampling.LANCZOS, reducing_gap=3.0)


def lay_down(board: Image, card: ContactCard, place: tuple[int, int, int, int], px: float) -> None:
    """Draw an element with its shadow on a board.

    Parameters
    ----------
    board : Image
        RGB.
    card : ContactCard
        The element.
    place : tuple of int
        (left, top, width, height) in pixels of the board, without the shadow.
    px : float
        Pixels to a board unit.
    """
    left, top, width, height = place
    lay_down_picture(board, on_scale(card, (max(1, width), max(1, height))), (left, top), px)


def lay_down_picture(board: Image, picture: Image, corner: tuple[int, int], px: float) -> None:
    """Draw an RGBA picture with its shadow on a board, its top left corner at a pixel; `px` as `lay_down`."""
    left, top = corner
    reach = shadow_reach(px)
    shadow = _shadow_of(picture, px, reach)
    board.paste(colours.SHADOW, (left - reach, top - reach + round(colours.SHADOW_DROP * px)), shadow)
    board.paste(picture, (left, top), picture)


def shadow_reach(px: float) -> int:
    """How far a shadow reaches, in pixels, where a board unit has so many; its drop not counted."""
    return round(3 * colours.SHADOW_BLUR * px)


def _shadow_of(picture: Image, px: float, reach: int) -> Image:
    from PIL import Image, ImageFilter

    mask = Image.new("L", (picture.width + 2 * reach, picture.height + 2 * reach))
    mask.paste(picture.getchannel("A"), (reach, reach))
    mask = mask.filter(ImageFilter.GaussianBlur(colours.SHADOW_BLUR * px))
    return mask.point(lambda alpha: round(alpha * colours.SHADOW_OPACITY))
