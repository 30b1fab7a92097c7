"""A sheet as PDF, by a library that prints HTML; it comes with the extra `pdf` and is loaded for nothing else."""

from __future__ import annotations

import logging
from typing import NoReturn

WITHOUT = ("A PDF needs the library WeasyPrint, which is not here: install it with `pip install 'bringup-auditor[pdf]'`. "
           "Or leave `--as pdf` out, open the HTML sheet in a browser, and print it.")
WITHOUT_PANGO = ("WeasyPrint is here, but not the library Pango that it sets type with ({}). On Debian: `apt install "
                 "libpango-1.0-0 libpangoft2-1.0-0`; elsewhere see the installation page of WeasyPrint. Or leave `--as pdf` "
                 "out, open the HTML sheet in a browser, and print it.")


class CannotPrint(Exception):
    """What is missing for writing PDF, and what to do."""


def pdf(page: str) -> bytes:
    """The sheet on the paper that its style names. Raises CannotPrint where a library is missing."""
    try:
        from weasyprint import HTML
    except ImportError:
        raise CannotPrint(WITHOUT) from None
    except OSError as error:
        raise CannotPrint(WITHOUT_PANGO.format(str(error).partition("\n")[0])) from None
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it complains of what only browsers understand
    printed = HTML(string=page, url_fetcher=_nothing).write_pdf()
    assert isinstance(printed, bytes)
    return printed


def _nothing(url: str, *rest: object, **more: object) -> NoReturn:
    """A sheet asks for no other file and for no network."""
    raise ValueError("a sheet loads nothing")
