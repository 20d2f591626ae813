"""Documents of strangers: refused within seconds and within a gigabyte, or read rightly."""

from __future__ import annotations

import gzip
import zlib
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

MOST_MB = 1024
CANARY = "canary-4711-sings"
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="40in" height="40in" viewBox="0 0 40 40">'
EDGE = '<rect id="edge" width="40" height="40"/>'
GOOD = f"{HEAD}{EDGE}</svg>"


def _laughs() -> bytes:
    """Ten entities, each ten times the one before."""
    entities = '<!ENTITY a0 "ha">' + "".join(f'<!ENTITY a{i} "{f"&a{i - 1};" * 10}">' for i in range(1, 11))
    return f"<!DOCTYPE svg [{entities}]>{HEAD}{EDGE}<text>&a10;</text></svg>".encode()


def _used_often() -> bytes:
    return f'<!DOCTYPE svg [<!ENTITY a "{"x" * 30_000}">]>{HEAD}{EDGE}<desc>{"&a;" * 30_000}</desc></svg>'.encode()


def _default_attribute() -> bytes:
    """A long attribute that the document type gives to every group."""
    return f'<!DOCTYPE svg [<!ATTLIST g a CDATA "{"x" * 30_000}">]>{HEAD}{EDGE}{"<g/>" * 60_000}</svg>'.encode()


def _nested() -> bytes:
    return f"{HEAD}{EDGE}{'<g>' * 650_000}{'</g>' * 650_000}</svg>".encode()


def _entity_in_utf_16() -> bytes:
    return f'<?xml version="1.0" encoding="UTF-16"?><!DOCTYPE svg [<!ENTITY a "b">]>{GOOD}'.encode("utf-16")


def _parameter_entity() -> bytes:
    return f"<!DOCTYPE svg [<!ENTITY % a \"<!ENTITY b 'c'>\"> %a;]>{HEAD}{EDGE}<text>&b;</text></svg>".encode()


def _external_parameter_entity() -> bytes:
    return f'<!DOCTYPE svg [<!ENTITY % a SYSTEM "http://localhost:9/a.dtd"> %a;]>{GOOD}'.encode()


def _bomb() -> bytes:
    packer = zlib.compressobj(9, wbits=31)
    spaces = b" " * 2**20
    packed = [packer.compress(HEAD.encode()), *(packer.compress(spaces) for _ in range(300))]
    return b"".join([*packed, packer.compress(f"{EDGE}</svg>".encode()), packer.flush()])


def _declared(name: str, rest: bytes = GOOD.encode()) -> bytes:
    return f'<?xml version="1.0" encoding="{name}"?>'.encode() + rest


def _undefined_entity() -> bytes:
    return f"{HEAD}{EDGE}<text>&nbsp;</text></svg>".encode()


def _crowd() -> bytes:
    return f"{HEAD}{EDGE}{'<g/>' * 399_999}</svg>".encode()


def _too_large() -> bytes:
    return f"{HEAD}{EDGE}<!--{'x' * 70_000_000}--></svg>".encode()


HOSTILE: dict[str, bytes | Callable[[], bytes]] = {
    "billion laughs": _laughs,
    "an entity used 30,000 times": _used_often,
    "a long default attribute of 60,000 elements": _default_attribute,
    "650,000 nested groups": _nested,
    "nested just too deep": f"{HEAD}{EDGE}{'<g>' * 300}{'</g>' * 300}</svg>".encode(),
    "an entity that is never used": f'<!DOCTYPE svg [<!ENTITY a "b">]>{GOOD}'.encode(),
    "an entity in UTF-16": _entity_in_utf_16,
    "a parameter entity": _parameter_entity,
    "an external parameter entity": _external_parameter_entity,
    "an undefined entity": _undefined_entity,
    "400,001 elements": _crowd,
    "a bomb in a zip": _bomb,
    "more than can be read": _too_large,
    "cut off": f"{HEAD}{EDGE}<g>".encode(),
    "cut off inside a tag": f"{HEAD}<rect id='ed".encode(),
    "mismatched tags": f"{HEAD}{EDGE}<g></path></svg>".encode(),
    "two roots": f"{GOOD}{GOOD}".encode(),
    "rubbish after the root": f"{GOOD} and so on".encode(),
    "an attribute twice": GOOD.replace("<rect", "<rect width='4'").encode(),
    "a prefix that is not declared": GOOD.replace("<rect", "<q:a/><rect").encode(),
    "a NUL byte": GOOD.replace("<rect", "\0<rect").encode(),
    "a NUL in an attribute": GOOD.replace('id="edge"', 'id="edge" class="a\0b"').encode(),
    "a character reference to NUL": GOOD.replace('id="edge"', 'id="edge" class="&#0;"').encode(),
    "a control character": GOOD.replace("<rect", "\x07<rect").encode(),
    "not the UTF-8 it is declared as": _declared("UTF-8", f"{HEAD}<desc>Bl\xf6cke</desc>{EDGE}</svg>".encode("latin-1")),
    "not UTF-8, nothing declared": f"{HEAD}<desc>Bl\xf6cke</desc>{EDGE}</svg>".encode("latin-1"),
    "declared as ASCII, but is not": _declared("us-ascii", f"{HEAD}<desc>ö</desc>{EDGE}</svg>".encode()),
    "UTF-7": _declared("utf-7"),
    "unicode_escape": _declared("unicode_escape"),
    "raw_unicode_escape": _declared("raw_unicode_escape"),
    "rot13": _declared("rot13"),
    "hex": _declared("hex"),
    "idna": _declared("idna"),
    "an encoding nobody knows": _declared("klingon-8"),
    "UTF-32": GOOD.encode("utf-32"),
    "half a UTF-16 letter": GOOD.encode("utf-16")[:-1],
    "empty": b"",
    "white space only": b" \n\t\r\n ",
    "a zip cut off": gzip.compress(GOOD.encode() * 50)[:-20],
    "a zip with a wrong checksum": gzip.compress(GOOD.encode())[:-8] + b"\0" * 8,
    "a zip of nothing": gzip.compress(b""),
    "only the first bytes of a zip": b"\x1f\x8b",
    "a zip in a zip": gzip.compress(gzip.compress(GOOD.encode())),
    "XML that is not SVG": b"<quilt><border/></quilt>",
    "an svg in no namespace": b"<svg width='40in' height='40in'><rect id='edge' width='9' height='9'/></svg>",
    "a web page": b"<!DOCTYPE html><html><body><p>Border</body></html>",
    "a picture": b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR",
    "plain text": b"a quilt of 48 by 64 in",
}  # fmt: skip


def _refused(source: Path, measured: Callable[..., object], sentence: Callable[..., str]) -> str:
    before = source.read_bytes() if source.is_file() else None
    there = sorted(source.parent.iterdir())
    done = measured("border", source, "--id", "edge", "-o", source.parent / "out.svg")
    said = sentence(done)
    assert done.peak < MOST_MB
    assert sorted(source.parent.iterdir()) == there
    assert (source.read_bytes() if source.is_file() else None) == before
    return said


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_or_broken_documents_are_refused_in_one_sentence(
    name: str, tmp_path: Path, measured: Callable[..., object], sentence: Callable[..., str]
) -> None:
    """Exit code 2, one line, nothing written, the input as it was, within a gigabyte."""
    source = tmp_path / "in.svg"
    document = HOSTILE[name]
    source.write_bytes(document if isinstance(document, bytes) else document())
    said = _refused(source, measured, sentence)
    assert len(said) < 500
    if name not in {"a NUL byte", "a NUL in an attribute", "UTF-32"}:
        assert "NUL" not in said, "the sentence must say what was found"


def _attributes_of_one() -> bytes:
    attributes = " ".join([f"a{i:x}=''" for i in range(5_000_000)])
    return f"{HEAD}{EDGE}<g {attributes}/></svg>".encode()


def _attributes_of_many() -> bytes:
    attributes = " ".join([f"{letter}=''" for letter in "abcdefghijklmno"])
    return f"{HEAD}{EDGE}{f'<g {attributes}/>' * 399_000}</svg>".encode()


def _wide_text() -> bytes:
    return f"{HEAD}{EDGE}<desc>\U0001f9f5{'x' * 60_000_000}</desc></svg>".encode()


@pytest.mark.parametrize("document", [_attributes_of_one, _attributes_of_many, _wide_text])
def test_a_crowded_document_stays_within_a_gigabyte(
    document: Callable[[], bytes], tmp_path: Path, measured: Callable[..., object], sentence: Callable[..., str]
) -> None:
    """Below the limits on elements, depth and bytes, a document must still be refused or fit in memory."""
    source = tmp_path / "in.svg"
    source.write_bytes(document())
    done = measured("border", source, "--id", "edge", "-o", tmp_path / "out.svg")
    assert done.peak < MOST_MB
    if done.returncode:
        sentence(done)
    else:
        assert done.stderr == b""


@pytest.mark.parametrize(
    "document",
    [
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "URL">]>{HEAD}{EDGE}<text>&a;</text></svg>',
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "URL">]>{HEAD}<rect id="edge" width="40" height="40" class="&a;"/></svg>',
        f'<!DOCTYPE svg [<!ENTITY % a SYSTEM "URL"> %a;]>{HEAD}{EDGE}</svg>',
        f'<!DOCTYPE svg SYSTEM "URL">{HEAD}{EDGE}<text>&a;</text></svg>',
    ],
    ids=["element", "attribute", "parameter", "document type"],
)
def test_no_other_file_is_read_through_an_entity(
    document: str, tmp_path: Path, measured: Callable[..., object], sentence: Callable[..., str]
) -> None:
    """What a document points at never shows up, neither in the output nor in the sentence."""
    canary = tmp_path / "canary.txt"
    canary.write_text(f"<!ENTITY a '{CANARY}'>")
    source = tmp_path / "in.svg"
    source.write_text(document.replace("URL", canary.as_uri()))
    assert CANARY not in _refused(source, measured, sentence)
