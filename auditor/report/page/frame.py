"""The frame of every page: its head, its look, and what it may load. A page asks nothing of a network and runs no script."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256
from pathlib import Path as FilePath

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from auditor.report import notice
from auditor.report.phrases import counted
from auditor.report.style import shown

HERE = FilePath(__file__).parent
LOOK = HERE.parent / "look.css"
FOLDERS = (HERE / "templates", HERE.parent / "sheet")
"""Where templates lie."""
ALLOWED = "default-src 'none'; style-src 'sha256-{style}'; img-src data:; base-uri 'none'; form-action 'none'"
"""What a browser may load for a page: its own style sheet, whose sum is said, and an icon that is empty."""


def framed(template: str, sheet: str, more_style: str = "", **told: object) -> str:
    """A page out of a template that extends frame.html, with the look of all pages and a style sheet of its own.

    more_style: what the style sheet says of this one page; none of it may come from a plan as it stands.
    """
    style = f"\n{LOOK.read_text('utf-8')}{(HERE / sheet).read_text('utf-8')}{more_style}"
    digest = b64encode(sha256(style.encode()).digest()).decode()
    return _templates().get_template(template).render(
        style=Markup(style), allowed=ALLOWED.format(style=digest), notice=notice, **told)


def _templates() -> Environment:
    """Every text is escaped, and one that a plan brings is shown without characters that would turn the line about."""
    made = Environment(loader=FileSystemLoader(FOLDERS), autoescape=True, undefined=StrictUndefined,
                       trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=False, finalize=_fit)
    made.filters["code"] = coded
    made.filters["count"] = counted
    return made


def coded(text: str) -> Markup:
    """A text in which what stands between backticks is a line or a word of a plan."""
    parts = shown(text).split("`")
    if len(parts) % 2 == 0:  # a backtick without its other
        return escape(shown(text))
    return Markup("").join(Markup("<code>{}</code>").format(part) if k % 2 else escape(part) for k, part in enumerate(parts))


def _fit(value: object) -> object:
    return value if isinstance(value, Markup) or not isinstance(value, str) else shown(value)
