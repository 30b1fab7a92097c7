"""Review of a written power-up procedure for old mains-powered electronics.

    import auditor
    for reviewed in auditor.audit("procedures/five-tube-series-heaters.yaml"):
        print(reviewed.title, reviewed.audit.verdict.value)

It never says that a procedure is safe. Local codes and licensed practice come first.
"""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from auditor.review.run import Reviewed

__version__ = "0.1.0"

__all__ = ["__version__", "audit"]


def audit(path_or_text: str | os.PathLike[str], *, today: date | None = None,
          policy: str | os.PathLike[str] | None = None) -> tuple[Reviewed, ...]:
    """The reviews of a plan, of every plan on a page, or of every plan and page in a folder.

    path_or_text: a path; or the text of one plan, which a string is taken for where it has more than one line.
    today: the day on which accepted risks are looked at, by default the present day.
    policy: the policy file to go by, by default the `power-up-policy.yaml` nearest above each plan; a text has none.

    What cannot be read is a review without an audit, whose problems say why. Raises BadRules where the rules
    themselves, or a policy, cannot be used.
    """
    from datetime import date as day

    from auditor.plan.files import PlanText, files_under
    from auditor.review.run import review_file, review_text
    from auditor.rulebook.load import load_rulebook
    from auditor.rulebook.policy import rules_for, under_policies

    shipped, today = load_rulebook(), today or day.today()
    asked_for = None if policy is None else os.fspath(policy)
    if isinstance(path_or_text, str) and "\n" in path_or_text:
        rulebook = under_policies(shipped, {"text": asked_for})["text"]
        return (review_text(PlanText("text", path_or_text), rulebook, today),)
    asked = os.fspath(path_or_text)
    files = files_under([asked])
    rulebooks = rules_for(shipped, files, asked_for)
    return tuple(reviewed for path in files
                 for reviewed in review_file(path, rulebooks[path], today, asked_by_name=path == asked))
