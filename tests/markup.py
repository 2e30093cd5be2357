"""Reading the pages that the program writes with a parser of the HTML standard (html5lib)."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import html5lib

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element


def parse(page: str) -> Element[str]:
    """The page as a tree.

    Raises:
        html5lib.html5parser.ParseError: At the first fault that a browser would have to mend.
    """
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element[str] = parser.parse(page)
    return tree


def text_of(page: str) -> str:
    """What a reader sees, spaces evened out."""
    words = (text for body in parse(page).iter("body") for text in body.itertext())
    return re.sub(r"\s+", " ", " ".join(words)).strip()


def assert_is_self_contained(page: str) -> None:
    """No script, no handler, and nothing fetched from elsewhere."""
    tree = parse(page)
    assert not list(tree.iter("script"))
    for element in tree.iter():
        for name in element.attrib:
            assert not str(name).startswith("on"), (element.tag, name)
            assert name not in {"src", "srcset", "data", "action", "xlink:href"}, (element.tag, name)
        if element.tag not in {"a", "use"}:
            assert "href" not in element.attrib, element.tag
    style = "".join(text for element in tree.iter("style") for text in element.itertext())
    assert style
    assert "url(" not in style
    assert "@import" not in style
