"""Finding the plans that somebody asked for: files, folders, pages with procedures in them, standard input."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path as FilePath

from msgspec import Struct

from auditor.plan.card import ENDING
from auditor.plan.plan import Plan
from auditor.plan.problems import Problem, Unreadable
from auditor.plan.read import read_plan
from auditor.plan.yaml_text import LARGEST, read_text

PAGES = frozenset({".md", ".markdown"})
PLANS = frozenset({".yaml", ".yml"})
STANDARD_INPUT = "-"
POLICY = "power-up-policy.yaml"
"""The name under which a policy is found, in the folder of a plan or above it."""
POLICY_ENDING = ".policy.yaml"
"""How other policies are called, that one builds on or that are asked for; no file called so is a plan."""


def is_policy(name: str) -> bool:
    """Whether a file of this name is a policy, which a folder of plans may hold."""
    return name == POLICY or name.endswith(POLICY_ENDING)


class PlanText(Struct, frozen=True):
    """The text of one plan, or why there is none: where it came from and where on the page it begins.

    cards: a folder in which bench cards lie, beside those that lie with the plan.
    """

    path: str
    text: str = ""
    first_line: int = 1
    first_column: int | tuple[int, ...] = 1
    problems: tuple[Problem, ...] = ()
    cards: str | None = None

    @property
    def is_card(self) -> bool:
        """Whether this is a bench card, which is audited by itself and holds no procedure."""
        return self.path.endswith(ENDING)

    def read(self, today: date | None = None) -> Plan:
        """The plan, with the card that lies beside it; a card by itself as a plan of today.

        Raises Unreadable with every problem found.
        """
        if self.problems:
            raise Unreadable(self.problems)
        if self.is_card:
            from auditor.plan.card_alone import read_card

            return read_card(self.text.encode(), FilePath(self.path).name, today or date.today())
        return read_plan(self.text, first_line=self.first_line, first_column=self.first_column, cards=self._card)

    def _card(self, file: str) -> bytes | None:
        folders = (FilePath(self.path).parent, *([FilePath(self.cards)] if self.cards is not None else []))
        found = next((folder / file for folder in folders if (folder / file).is_file()), None)
        return _bytes(found) if found is not None else None


def files_under(paths: Iterable[str]) -> tuple[str, ...]:
    """The files to read, in order: a folder stands for the plans and pages under it; each file once.

    A policy that is named beside plans, as `*.yaml` names it, is left out; alone it is kept, to be told that it is no plan.
    """
    found: dict[str, str] = {}  # by the path in one spelling, so that `./a.yaml` is `a.yaml`
    for path in paths:
        here = FilePath(path)
        if path != STANDARD_INPUT and here.is_dir():
            inside = sorted(f for f in here.rglob("*") if f.suffix.lower() in PLANS | PAGES and f.is_file()
                            and not f.name.endswith(ENDING) and not is_policy(f.name)
                            and not any(part.startswith(".") for part in f.relative_to(here).parts))
            for file in inside or [here]:
                found.setdefault(file.as_posix(), file.as_posix() if inside else path)
        else:
            found.setdefault(here.as_posix(), path)
    plans = tuple(path for path in found.values() if not is_policy(FilePath(path).name))
    return plans or tuple(found.values())


def plan_texts(path: str, standard_input: bytes = b"", *, asked_by_name: bool = True,
               cards: str | None = None) -> Iterator[PlanText]:
    """The plans of one file: one, or as many as a page has procedures.

    A page without a procedure is an error only where it was asked for by name.
    cards: a folder in which bench cards lie, beside those that lie with the plans.
    """
    try:
        if is_policy(FilePath(path).name):
            yield _refused(path, "this is a policy and no plan; `auditor rulebook prove` checks it")
            return
        source = standard_input if path == STANDARD_INPUT else _bytes(FilePath(path))
        text = read_text(source)
        if FilePath(path).suffix.lower() in PAGES:
            yield from _on_page(path, text, asked_by_name, cards)
        elif not text.strip():
            yield _refused(path, "the file is empty: there is no plan in it")
        else:
            yield PlanText(path, text, cards=cards)
    except Unreadable as error:
        yield PlanText(path, problems=error.problems)


def _bytes(file: FilePath) -> bytes:
    if file.is_dir():
        raise Unreadable((Problem("this folder has no plans in it: no .yaml, .yml or .md file"),))
    try:
        with file.open("rb") as stream:
            return stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise Unreadable((Problem("there is no such file"),)) from None
    except OSError as error:
        raise Unreadable((Problem(f"the file cannot be read: {error.strerror or error}"),)) from None


def _on_page(path: str, text: str, asked_by_name: bool, cards: str | None) -> Iterator[PlanText]:
    from auditor.plan.markdown import procedure_blocks

    blocks = procedure_blocks(text)
    if not blocks and asked_by_name:
        yield _refused(path, "the page has no procedure: no fenced block that begins with ```procedure")
    for block in blocks:
        yield PlanText(path, block.text, block.first_line, block.columns, cards=cards)


def _refused(path: str, message: str) -> PlanText:
    return PlanText(path, problems=(Problem(message),))
