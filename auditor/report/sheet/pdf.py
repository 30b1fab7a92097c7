"""A sheet as PDF, by a library that prints HTML; it comes with the extra `pdf` and is loaded for nothing else."""

from __future__ import annotations

import logging
import os
from contextlib import redirect_stdout
from io import StringIO

WITHOUT = ("A PDF needs the library WeasyPrint, which is not here: run `pip install '.[pdf]'` in a copy of this project. "
           "Or leave `--as pdf` out, open the HTML sheet in a browser, and print it.")
WITHOUT_PANGO = ("WeasyPrint is here, but not the library Pango that it sets type with ({}). On Debian: `apt install "
                 "libpango-1.0-0 libpangoft2-1.0-0`; elsewhere see the installation page of WeasyPrint. Or leave `--as pdf` "
                 "out, open the HTML sheet in a browser, and print it.")


class CannotPrint(Exception):
    """What is missing for writing PDF, and what to do."""


def pdf(page: str) -> bytes:
    """The sheet on the paper that its style names. Raises CannotPrint where a library is missing."""
    try:
        with redirect_stdout(StringIO()):  # what it prints about a missing library is no part of a sheet
            from weasyprint import HTML
            from weasyprint.urls import URLFetcher
    except ImportError:
        raise CannotPrint(WITHOUT) from None
    except OSError as error:
        raise CannotPrint(WITHOUT_PANGO.format(str(error).partition("\n")[0])) from None
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it complains of what only browsers understand
    os.environ.setdefault("SOURCE_DATE_EPOCH", "0")  # else the fonts in it are stamped with the second of printing
    printed = HTML(string=page, url_fetcher=URLFetcher(allowed_protocols=())).write_pdf()  # it asks for nothing else
    assert isinstance(printed, bytes)
    return printed
