"""Drawings of the libraries made fit for the page: no style of their own, no fixed size, in the colour of the text."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element, tostring

from markupsafe import Markup

SVG = "{http://www.w3.org/2000/svg}"
LEFT_OUT = frozenset({"style", "clip-path", "font-family", "font-size", "{http://www.w3.org/XML/1998/namespace}lang"})
"""What the style sheet of the page says, or what would need an identifier of its own."""


def plain(root: Element) -> list[Element]:
    """The parts of a drawing without its frame: styles become attributes, which a page without inline styles may have."""
    parts = []
    for part in root:
        if _name(part) not in ("defs", "style"):
            for element in part.iter():
                _tidy(element)
            parts.append(part)
    return parts


def marked_up(elements: Iterable[Element]) -> Markup:
    """Drawn parts as text of the page."""
    return Markup("").join(Markup(tostring(element, encoding="unicode")) for element in elements)


def _name(element: Element) -> str:
    return element.tag.removeprefix(SVG)


def _tidy(element: Element) -> None:
    element.tag = _name(element)
    for declaration in element.attrib.get("style", "").split(";"):
        name, colon, value = declaration.partition(":")
        if colon and value.strip() not in ("", "-"):
            element.set(name.strip(), value.strip())
    for name in LEFT_OUT & element.attrib.keys():
        del element.attrib[name]
    for paint in ("stroke", "fill"):
        if element.get(paint) == "black":
            element.set(paint, "currentColor")
    if element.get("fill") == "white":
        element.set("class", "hollow")
