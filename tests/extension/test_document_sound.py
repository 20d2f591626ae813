"""Odd but sound documents: read rightly, and handed back as they were."""

from __future__ import annotations

import gzip
from typing import TYPE_CHECKING

import pytest
from lxml import etree

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

CANARY = "canary-4711-sings"
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="40in" height="40in" viewBox="0 0 40 40">'
EDGE = '<rect id="edge" width="40" height="40"/>'
GOOD = f"{HEAD}{EDGE}</svg>"


def test_a_document_type_elsewhere_is_not_fetched_and_stays(tmp_path: Path, border: Callable[..., bytes]) -> None:
    """A document type that names another file is kept as it is; the file is not read."""
    canary = tmp_path / "canary.dtd"
    canary.write_text(f'<!ATTLIST rect class CDATA "{CANARY}">')
    kind = f'<!DOCTYPE svg SYSTEM "{canary.as_uri()}">'
    drawn = border(f"{kind}\n{GOOD}")
    assert CANARY.encode() not in drawn
    assert kind.encode() in drawn


@pytest.mark.parametrize(
    "kind",
    [
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">',
        "<!DOCTYPE svg>",
    ],
)
def test_a_document_type_without_entities_is_kept(
    kind: str, border: Callable[..., bytes], others: Callable[[bytes], bytes]
) -> None:
    """Documents of other drawing programs often carry one; nothing is fetched for it."""
    document = f'<?xml version="1.0"?>\n{kind}\n{GOOD}'
    drawn = border(document)
    assert kind.encode() in drawn
    assert others(drawn) == others(document.encode())


def test_a_pointer_to_another_file_stays_a_pointer(tmp_path: Path, border: Callable[..., bytes]) -> None:
    """Inclusions and style sheets of other files are not followed."""
    canary = tmp_path / "canary.txt"
    canary.write_text(CANARY)
    link = f'<xi:include xmlns:xi="http://www.w3.org/2001/XInclude" href="{canary.as_uri()}" parse="text"/>'
    sheet = f'<?xml-stylesheet href="{canary.as_uri()}"?>'
    drawn = border(f"{sheet}{HEAD}{EDGE}<desc>{link}</desc></svg>")
    assert CANARY.encode() not in drawn
    assert link.encode() in drawn
    assert sheet.encode() in drawn


def _declared(name: str) -> bytes:
    return f'<?xml version="1.0" encoding="{name}"?>{GOOD}'.encode()


READABLE = {
    "gzip": gzip.compress(GOOD.encode()),
    "UTF-16, little end first": '<?xml version="1.0" encoding="UTF-16"?>'.encode("utf-16-le") + GOOD.encode("utf-16-le"),
    "UTF-16 with its mark": f'<?xml version="1.0" encoding="UTF-16"?>{GOOD}'.encode("utf-16"),
    "UTF-16, big end first": b"\xfe\xff" + GOOD.encode("utf-16-be"),
    "UTF-8 with a mark": b"\xef\xbb\xbf" + _declared("utf-8"),
    "UTF-8 declared as UTF-16": _declared("UTF-16"),
    "single quotes in the declaration": b"<?xml version='1.0' encoding='utf-8'?>" + GOOD.encode(),
    "nested 200 deep": f"{HEAD}{EDGE}{'<g>' * 200}{'</g>' * 200}</svg>".encode(),
    "another prefix": f"<s:svg xmlns:s{HEAD[10:]}{EDGE}</svg>".replace("<rect", "<s:rect").replace("</svg", "</s:svg").encode(),
}  # fmt: skip


@pytest.mark.parametrize("name", READABLE)
def test_odd_but_sound_documents_give_the_usual_border(
    name: str, border: Callable[..., bytes], read: Callable[..., object]
) -> None:
    """However the bytes are packed, the same lines are drawn."""
    plain, odd = read(border(GOOD)), read(border(READABLE[name]))
    assert odd.sides() == plain.sides()
    assert odd.recipe == plain.recipe


@pytest.mark.parametrize(
    ("encoding", "words"),
    [
        ("windows-1251", "Граница одеяла"),
        ("koi8-r", "Граница"),
        ("iso-8859-1", "Blöcke à côté"),
        ("shift_jis", "キルト"),
        ("utf-16", "キルト"),
    ],
)
def test_words_in_old_encodings_are_read_rightly(encoding: str, words: str, border: Callable[..., bytes]) -> None:
    """The output is UTF-8 and says so, and the words are the same words."""
    document = f'<?xml version="1.0" encoding="{encoding}"?>{HEAD}<desc id="d">{words}</desc>{EDGE}</svg>'
    drawn = border(document.encode(encoding))
    assert etree.fromstring(drawn).find(".//*[@id='d']").text == words
    assert words in drawn.decode("utf-8")
    assert b"UTF-8" in drawn.splitlines()[0]


def test_what_surrounds_the_drawing_is_kept(border: Callable[..., bytes]) -> None:
    """CDATA stays CDATA, comments and instructions stay, no declaration is added where there was none."""
    document = f"<!-- before --><?keep this?>{HEAD}<style><![CDATA[text > tspan {{ fill: red }}]]></style>{EDGE}</svg><!-- after -->"
    drawn = border(document).decode()
    for part in ("<!-- before -->", "<?keep this?>", "<![CDATA[text > tspan { fill: red }]]>", "<!-- after -->"):
        assert part in drawn
    assert not drawn.startswith("<?xml")
    assert border(f'<?xml version="1.0" standalone="yes"?>{GOOD}').startswith(b"<?xml")


@pytest.mark.parametrize("name", ["missing.svg", ".", "in.svg/in.svg", "x" * 300 + ".svg"])
def test_what_is_no_file_is_refused(
    name: str,
    tmp_path: Path,
    cornerwise: Callable[..., subprocess.CompletedProcess[bytes]],
    sentence: Callable[..., str],
) -> None:
    """A missing file, a folder, a file used as a folder and an impossible name are told in one sentence."""
    (tmp_path / "in.svg").write_text(GOOD)
    sentence(cornerwise("border", tmp_path / name, "--id", "edge", "-o", tmp_path / "out.svg"))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.svg"]
