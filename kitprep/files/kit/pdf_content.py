"""Reads a PDF page's drawing instructions, to see whether the page is nothing but placed pictures.

The operators are those of ISO 32000-1, annex A. Allowed are the ones that place pictures (q, Q, cm, Do), that
set something which pictures do not heed, clips that cut nothing off a picture, white fills below everything,
and text that is not shown. The first thing that paints otherwise, or changes how pictures are painted, raises
`NotPlain`, and the page is rendered.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING, Any

from kitprep.files.kit.pdf_geometry import MALFORMED, PdfFrame
from kitprep.files.kit.pdf_pictures import NotPlain, StoredPicture, stored_picture
from kitprep.files.kit.pdf_streams import MAX_UNPACKED_BYTES, listed, unpacked
from kitprep.pages import IDENTITY, Affine

if TYPE_CHECKING:
    import pikepdf

Rectangle = tuple[float, float, float, float]
"""Left, bottom, right, top in user space."""

SLACK_UNITS = 0.05  # 1/1440 in: what rounding in a PDF's decimals may cut off a picture without being seen
LARGEST_UNITS = 1e6  # no page is this wide; a picture that is would overflow the sums that place it
MAX_CONTENT_BYTES = 1024**2  # placing a thousand pictures takes a tenth of this; drawings take more
MAX_FORM_DEPTH = 12
MAX_PLACEMENTS = 2_000

# fmt: off
_HARMLESS = frozenset({
    "w", "J", "j", "M", "d", "ri", "i", "CS", "SC", "SCN", "G", "RG", "K",  # how lines would be drawn
    "m", "l", "c", "v", "y", "h", "re", "W", "W*",  # paths, until something paints them
    "BT", "ET", "Tc", "Tw", "Tz", "TL", "Tf", "Ts", "Td", "TD", "Tm", "T*",  # text, until some is shown
    "MP", "DP", "EMC", "BX", "EX",  # marks for other programs
})
# fmt: on
_PAINTING = frozenset({"S", "s", "B", "B*", "b", "b*", "sh", "d0", "d1"})
_FILLING = frozenset({"f", "F", "f*"})
_TEXT = frozenset({"Tj", "TJ", "'", '"'})
_WHITE = {"g": [1.0], "rg": [1.0, 1.0, 1.0], "k": [0.0, 0.0, 0.0, 0.0]}
_INVISIBLE_TEXT = 3  # ISO 32000-1, table 106
# What a graphics state dictionary may say without changing how a plain picture looks (table 58).
_STATE_OF_NO_ACCOUNT = frozenset(
    {"/Type", "/LW", "/LC", "/LJ", "/ML", "/D", "/RI", "/Font", "/FL", "/SM", "/SA", "/AIS", "/TK", "/OPM"}
)
_QUIET_ANNOTATIONS = frozenset({"/Link", "/Popup"})


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """A picture on a page.

    Parameters
    ----------
    picture : StoredPicture
        The picture.
    matrix : Affine
        From the unit square (y up) to user space.
    """

    picture: StoredPicture
    matrix: Affine

    def to_page(self, page: Affine) -> Affine:
        """The map from the picture's own pixels to page pixels, given that from user space."""
        width, height = self.picture.size_px
        return Affine(1 / width, 0, 0, -1 / height, 0, 1).then(self.matrix).then(page)

    def ppi(self, unit_in: float) -> float:
        """Its own pixels per inch on the page, the larger of across and down."""
        width, height = self.picture.size_px
        across, down = hypot(self.matrix.a, self.matrix.b), hypot(self.matrix.c, self.matrix.d)
        return max(width / (across * unit_in), height / (down * unit_in))


@dataclass(frozen=True, slots=True)
class _State:
    """What q keeps and Q brings back."""

    matrix: Affine = IDENTITY
    clips: tuple[Rectangle, ...] = ()
    white_fill: bool = False
    text_mode: int = 0


def placed_on(page: pikepdf.Page, frame: PdfFrame) -> tuple[Placement, ...]:
    """The pictures on a page that is nothing but placed pictures, in the order they are painted.

    Those that lie wholly outside the visible page are left out.

    Raises
    ------
    NotPlain
        If the page is anything more.
    UnpacksTooFar
        If its instructions, or a picture's profile, unpack to over `MAX_UNPACKED_BYTES`.
    """
    reader = _Reader(frame)
    try:
        _check_annotations(page)
        reader.run(_instructions(page.obj), page.resources, 0)
    except MALFORMED as fault:
        raise NotPlain("something on the page is not as the standard has it") from fault
    if not reader.placements:
        raise NotPlain("there is no picture on the page")
    return tuple(reader.placements)


def _instructions(stream: Any) -> Sequence[Any]:
    import pikepdf

    content = stream.get("/Contents") if "/Contents" in stream else stream
    count = 0
    try:
        for part in listed(content):
            if isinstance(part, pikepdf.Stream):
                count += len(unpacked(part, MAX_UNPACKED_BYTES - count))
        if count > MAX_CONTENT_BYTES:
            raise NotPlain("there is more on the page than pictures")
        return pikepdf.parse_content_stream(stream)
    except (pikepdf.PdfError, TypeError) as fault:
        raise NotPlain("the drawing instructions cannot be read") from fault


def _check_annotations(page: pikepdf.Page) -> None:
    for annotation in page.obj.get("/Annots") or ():
        if str(annotation.get("/Subtype")) not in _QUIET_ANNOTATIONS:
            raise NotPlain("there is a note or a form field on the page")


class _Reader:
    """Follows instructions and gathers placements."""

    def __init__(self, frame: PdfFrame) -> None:
        self.placements: list[Placement] = []
        self._frame = frame
        self._state = _State()
        self._path: list[Rectangle] | None = []  # None once it is more than rectangles
        self._clip_wanted = False
        self._pictures: dict[tuple[tuple[int, int], frozenset[str]], StoredPicture] = {}
        self._resources: Any = None
        self._depth = 0

    def run(self, instructions: Sequence[Any], resources: Any, depth: int) -> None:
        """Follow the instructions of a page or a form, with its resources."""
        import pikepdf

        outer, self._resources, self._depth = (self._resources, self._depth), resources, depth
        stack: list[_State] = []
        for instruction in instructions:
            if isinstance(instruction, pikepdf.ContentStreamInlineImage):
                raise NotPlain("there is an inline picture")
            name = str(instruction.operator)
            if name == "q":
                stack.append(self._state)
            elif name == "Q":
                self._state = stack.pop() if stack else self._state
            else:
                self._follow(name, list(instruction.operands))
        self._resources, self._depth = outer

    def _follow(self, name: str, operands: list[Any]) -> None:
        if name in _TEXT:
            if self._state.text_mode != _INVISIBLE_TEXT:
                raise NotPlain("there is text")
        elif name in _PAINTING:
            raise NotPlain("there are drawings")
        elif name in _FILLING:
            self._fill()
        elif name in _HANDLERS:
            _HANDLERS[name](self, operands)
        elif name not in _HARMLESS:
            raise NotPlain(f"there is an operator {name}")
        else:
            self._build(name, operands)

    def _build(self, name: str, operands: list[Any]) -> None:
        """Follow the path, as far as it is made of rectangles along the page's edges."""
        if name in ("W", "W*"):
            self._clip_wanted = True
        elif name == "re" and self._path is not None:
            rectangle = self._rectangle(*(float(value) for value in operands))
            self._path = None if rectangle is None else [*self._path, rectangle]
        elif name in ("m", "l", "c", "v", "y"):
            self._path = None

    def _rectangle(self, x: float, y: float, width: float, height: float) -> Rectangle | None:
        matrix = self._state.matrix
        if (matrix.b or matrix.c) and (matrix.a or matrix.d):
            return None
        (x0, y0), (x1, y1) = matrix(x, y), matrix(x + width, y + height)
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def _end_path(self, _: list[Any]) -> None:
        if self._clip_wanted:
            if self._path is None or len(self._path) != 1:
                raise NotPlain("there is a clip that is no rectangle")
            self._state = replace(self._state, clips=(*self._state.clips, self._path[0]))
        self._path, self._clip_wanted = [], False

    def _fill(self) -> None:
        if not self._state.white_fill or self.placements:
            raise NotPlain("there are drawings")
        self._end_path([])

    def _concat(self, operands: list[Any]) -> None:
        matrix = Affine(*(float(value) for value in operands))
        self._state = replace(self._state, matrix=matrix.then(self._state.matrix))

    def _set_text_mode(self, operands: list[Any]) -> None:
        self._state = replace(self._state, text_mode=int(operands[0]))

    def _set_colourless(self, _: list[Any]) -> None:
        self._state = replace(self._state, white_fill=False)

    def _set_graphics_state(self, operands: list[Any]) -> None:
        state = self._resource("/ExtGState", operands)
        for key, value in state.items():
            if key in ("/CA", "/ca"):
                plain = float(value) == 1
            elif key == "/SMask":
                plain = str(value) == "/None"
            elif key == "/BM":
                plain = str(value) in ("/Normal", "/Compatible")
            elif key in ("/OP", "/op"):
                plain = not value
            else:
                plain = key in _STATE_OF_NO_ACCOUNT
            if not plain:
                raise NotPlain(f"there is a graphics state with {key}")

    def _begin_marked(self, operands: list[Any]) -> None:
        if str(operands[0]) == "/OC":
            raise NotPlain("there are layers")

    def _do(self, operands: list[Any]) -> None:
        stream = self._resource("/XObject", operands)
        if str(stream.get("/Subtype")) == "/Form":
            self._follow_form(stream)
        elif len(self.placements) >= MAX_PLACEMENTS:
            raise NotPlain("there are too many pictures")
        else:
            self._place(stream)

    def _resource(self, kind: str, operands: list[Any]) -> Any:
        try:
            return self._resources[kind][str(operands[0])]
        except (KeyError, TypeError) as fault:
            raise NotPlain(f"{kind} {operands[0]} is missing") from fault

    def _place(self, stream: Any) -> None:
        box = self._seen(self._state.matrix)
        if box is None:
            return
        for clip in self._state.clips:
            if not _holds(clip, box):
                raise NotPlain("a picture is clipped")
        self.placements.append(Placement(self._stored(stream), self._state.matrix))

    def _stored(self, stream: Any) -> StoredPicture:
        """The picture, taken out once however often it is placed."""
        spaces = self._default_spaces()
        key = (stream.objgen, spaces)
        if key not in self._pictures:
            self._pictures[key] = stored_picture(stream, spaces)
        return self._pictures[key]

    def _seen(self, matrix: Affine) -> Rectangle | None:
        """The box of the visible part of a picture; None where there is none."""
        corners = [matrix(x, y) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))]
        if not all(abs(x) < LARGEST_UNITS and abs(y) < LARGEST_UNITS for x, y in corners):
            raise NotPlain("a picture lies beyond any page")
        frame = self._frame
        left, right = (
            max(min(x for x, _ in corners), frame.left),
            min(max(x for x, _ in corners), frame.right),
        )
        bottom, top = (
            max(min(y for _, y in corners), frame.bottom),
            min(max(y for _, y in corners), frame.top),
        )
        if abs(matrix.a * matrix.d - matrix.b * matrix.c) < 1e-9 or left >= right or bottom >= top:
            return None
        return left, bottom, right, top

    def _default_spaces(self) -> frozenset[str]:
        spaces = self._resources.get("/ColorSpace") if self._resources is not None else None
        return (
            frozenset() if spaces is None else frozenset(key for key in spaces if key.startswith("/Default"))
        )

    def _follow_form(self, stream: Any) -> None:
        if self._depth >= MAX_FORM_DEPTH:
            raise NotPlain("forms lie too deep in each other")
        if "/OC" in stream:
            raise NotPlain("there are layers")
        outer = self._state
        if "/Matrix" in stream:
            self._concat(list(stream["/Matrix"]))
        if "/BBox" in stream:
            left, bottom, right, top = (float(side) for side in stream["/BBox"])
            self._path, self._clip_wanted = [], True
            self._build("re", [left, bottom, right - left, top - bottom])
            self._end_path([])
        self.run(_instructions(stream), stream.get("/Resources", self._resources), self._depth + 1)
        self._state = outer


def _holds(outer: Rectangle, inner: Rectangle) -> bool:
    return (
        outer[0] <= inner[0] + SLACK_UNITS
        and outer[1] <= inner[1] + SLACK_UNITS
        and inner[2] <= outer[2] + SLACK_UNITS
        and inner[3] <= outer[3] + SLACK_UNITS
    )


def _white_setter(name: str) -> Callable[[_Reader, list[Any]], None]:
    def set_fill(reader: _Reader, operands: list[Any]) -> None:
        white = [float(value) for value in operands] == _WHITE[name]
        reader._state = replace(reader._state, white_fill=white)

    return set_fill


_HANDLERS: dict[str, Callable[[_Reader, list[Any]], None]] = {
    "cm": _Reader._concat,
    "Do": _Reader._do,
    "n": _Reader._end_path,
    "gs": _Reader._set_graphics_state,
    "Tr": _Reader._set_text_mode,
    "cs": _Reader._set_colourless,
    "sc": _Reader._set_colourless,
    "scn": _Reader._set_colourless,
    "BMC": _Reader._begin_marked,
    "BDC": _Reader._begin_marked,
} | {name: _white_setter(name) for name in _WHITE}
