"""Documents come from strangers: read them strictly, hand them back whole.

Before the tree is built, a streaming parser walks the document once and refuses what could
hurt: entities, endless nesting, too many elements. Nothing outside the document is ever
fetched. What is malformed is refused, never silently repaired.
"""

from __future__ import annotations

import codecs
import re
import zlib
from typing import TYPE_CHECKING, NamedTuple
from xml.parsers import expat

from lxml import etree

from geometry.errors import DocumentError
from geometry.quilt import side_and_tier, tier_name

if TYPE_CHECKING:
    from typing import NoReturn

CW = "urn:cornerwise"
SVG = "http://www.w3.org/2000/svg"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
SODIPODI = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"
XLINK = "http://www.w3.org/1999/xlink"


MOST_BYTES = 64 * 2**20
"""A quilt with a photograph of the fabric is a few megabytes."""

MOST_ELEMENTS = 400_000
MOST_ATTRIBUTES = 1_500_000
MOST_DEPTH = 250
"""A person's groups in groups go twenty deep; recursive code must not run out of stack."""

_ENCODINGS = re.compile(
    r"utf-?8(-sig)?|utf-?16([_-]?[lb]e)?|ascii|iso8859-\d+|cp\d+|koi8-[rut]|mac-\w+|"
    r"shift_jis|euc_(jp|kr)|big5|gb(2312|k|18030)",
    re.ASCII,
)
_DECLARED = re.compile(rb"""^<\?xml[^>]{0,100}?encoding\s*=\s*["']([A-Za-z0-9._-]{1,40})["']""")


def set_value(element: etree._Element, name: str, value: str) -> None:
    """Write one of this project's attributes, or take it away if there is nothing to say."""
    if value:
        element.set(f"{{{CW}}}{name}", value)
    else:
        element.attrib.pop(f"{{{CW}}}{name}", None)


def value_of(element: etree._Element, name: str) -> str:
    """Read one of this project's attributes; empty where there is none."""
    return str(element.get(f"{{{CW}}}{name}") or "")


def set_side(element: etree._Element, name: str) -> None:
    """Write down which side an element belongs to, and above the lowest tier which tier."""
    side, tier = side_and_tier(name)
    set_value(element, "side", side)
    set_value(element, "tier", str(tier) if tier > 1 else "")


def side_of(element: etree._Element) -> str:
    """The side an element says it belongs to, called as within its tier; empty where it says none."""
    side, tier = value_of(element, "side"), value_of(element, "tier")
    return tier_name(side, int(tier)) if side and tier in {"2", "3"} else side


class Document(NamedTuple):
    """A parsed SVG document and how it was declared."""

    root: etree._Element
    declared: bool

    def to_bytes(self) -> bytes:
        """The whole document in UTF-8, its document type and outer comments included."""
        tree = self.root.getroottree()
        data: bytes = etree.tostring(
            tree, encoding="UTF-8", xml_declaration=self.declared, standalone=tree.docinfo.standalone
        )
        return data


def read_document(data: bytes) -> Document:
    """Parse an SVG document, plain or gzipped.

    Raises:
        DocumentError: not SVG, malformed, or not safe to open; the sentence says what to do.
    """
    if not data.strip():
        _refuse("The document is empty", "an SVG document", "please save it again from the editor")
    if data[:2] == b"\x1f\x8b":
        data = _unzip(data)
    if len(data) > MOST_BYTES:
        _refuse(
            "The document is very large", f"at most {MOST_BYTES >> 20} MB", "please link pictures instead of embedding"
        )
    text = _decode(data)
    plain = text.encode("utf-8")
    if plain.count(b"=") > MOST_ATTRIBUTES:
        _refuse(
            f"The document's objects have more than {MOST_ATTRIBUTES:,} attributes", "simpler",
            "please draw in a simpler document",
        )  # fmt: skip
    walker = _walk(plain)
    declared = text.startswith("<?xml")
    plain = _with_namespace(plain, walker)
    # no_network and load_dtd=False are the defaults, written out because everything hangs on them
    parser = etree.XMLParser(
        encoding="utf-8", resolve_entities=False, no_network=True, load_dtd=False, huge_tree=True,
        recover=False, strip_cdata=False, remove_comments=False, remove_pis=False,
    )  # fmt: skip
    try:
        root = etree.fromstring(plain, parser)
    except etree.XMLSyntaxError as error:
        _malformed(str(error))
    if root.tag != f"{{{SVG}}}svg":
        _refuse("The document is not an SVG drawing", "one saved by the editor", "please choose another file")
    return Document(root, declared)


def _refuse(found: str, needed: str, todo: str) -> NoReturn:
    raise DocumentError(f"{found}; it must be {needed}: {todo}.")


def _malformed(detail: str) -> NoReturn:
    short = re.sub(r"\s*\(<?string>?.*$", "", detail).strip()
    raise DocumentError(
        f"The document is damaged or cut off ({short[:120]}); it must be well-formed XML: "
        "please open it in the editor, look it over and save it again."
    ) from None


def _unzip(data: bytes) -> bytes:
    unpacker = zlib.decompressobj(wbits=31)
    try:
        plain = unpacker.decompress(data, MOST_BYTES + 1)
    except zlib.error:
        plain = b""
    if not unpacker.eof and len(plain) <= MOST_BYTES:
        _refuse(
            "The compressed document is damaged or cut off", "a whole SVG document",
            "please save it again as plain SVG",
        )  # fmt: skip
    return plain


def _decode(data: bytes) -> str:
    name = "utf-8"
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        name = "utf-16"
    elif data[:2] in {b"<\0", b"\0<"}:
        name = "utf-16-le" if data[1] == 0 else "utf-16-be"
    elif data.startswith(codecs.BOM_UTF8):
        name = "utf-8-sig"
    elif declared := _DECLARED.match(data):
        name = declared[1].decode("ascii")
        if name.lower().replace("_", "-").startswith("utf-16"):
            name = "utf-8"  # the bytes plainly are not; the declaration was left behind by a conversion
    try:
        codec = codecs.lookup(name)
        text = codec.decode(data)[0] if _ENCODINGS.fullmatch(codec.name) else None
    except (LookupError, UnicodeError, ValueError):
        text = None
    if text is None:
        _refuse(
            f"The document's letters are not in the encoding it names ({name})", "readable text",
            "please save it again from the editor, which writes UTF-8",
        )  # fmt: skip
    text = text.removeprefix("\ufeff")
    if "\0" in text:
        _refuse("The document contains NUL bytes", "text", "please save it again from the editor")
    return text


class _Walker:
    """What one walk through the document finds out."""

    def __init__(self) -> None:
        self.depth = 0
        self.elements = 0
        self.root_at = -1
        self.has_cw = False


def _walk(plain: bytes) -> _Walker:
    walker = _Walker()
    parser = expat.ParserCreate("utf-8")

    def entity(*_: object) -> None:
        _refuse(
            "The document defines shorthand names (XML entities), which can be made to grow without end",
            "free of them", "please open it in the editor and save it as plain SVG",
        )  # fmt: skip

    def start(_: str, attributes: dict[str, str]) -> None:
        if walker.root_at < 0:
            walker.root_at = parser.CurrentByteIndex
            walker.has_cw = "xmlns:cw" in attributes
        walker.depth += 1
        walker.elements += 1
        if walker.depth > MOST_DEPTH:
            _refuse(
                f"The document has groups more than {MOST_DEPTH} deep", f"at most {MOST_DEPTH} deep",
                "please ungroup it",
            )  # fmt: skip
        if walker.elements > MOST_ELEMENTS:
            _refuse(
                f"The document has more than {MOST_ELEMENTS:,} objects", "smaller", "please draw in a simpler document"
            )

    def end(_: str) -> None:
        walker.depth -= 1

    parser.EntityDeclHandler = entity
    parser.SkippedEntityHandler = entity
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    try:
        parser.Parse(plain, True)  # noqa: FBT003 - the parser's own signature
    except expat.ExpatError as error:
        _malformed(str(error))
    return walker


def _with_namespace(plain: bytes, walker: _Walker) -> bytes:
    """Declare the cw prefix on the root, where readers of the drawing look for it."""
    if walker.has_cw:
        return plain
    name = re.compile(rb"<[^\s/>]+").match(plain, walker.root_at)
    if name is None:
        return plain
    return plain[: name.end()] + f' xmlns:cw="{CW}"'.encode() + plain[name.end() :]
