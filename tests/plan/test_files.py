"""What somebody asks for: files, folders, pages, standard input."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from auditor.plan.files import files_under, plan_texts
from auditor.plan.problems import Unreadable
from auditor.plan.yaml_text import LARGEST

PLAN = "procedure: {title: A plan}\nset: {chassis: hot}\n"
PAGE = """\
# Two procedures

```procedure
procedure: {title: The first}
```

> ```procedure
> procedure: {title: The second}
> set:
>   chasis: hot
> ```
"""


def why_not(path: Path | str, source: bytes = b"") -> str:
    """The one line that says why a file has no plan."""
    texts = list(plan_texts(str(path), source))
    assert len(texts) == 1
    with pytest.raises(Unreadable) as caught:
        texts[0].read()
    assert len(caught.value.problems) == 1
    return caught.value.problems[0].message


def test_a_file_holds_one_plan(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(PLAN)
    assert [text.read().header.title for text in plan_texts(str(tmp_path / "plan.yaml"))] == ["A plan"]


def test_standard_input_holds_one_plan() -> None:
    assert [text.read().header.title for text in plan_texts("-", PLAN.encode())] == ["A plan"]


def test_a_byte_order_mark_is_no_part_of_the_plan() -> None:
    assert [text.read().header.title for text in plan_texts("-", b"\xef\xbb\xbf" + PLAN.encode())] == ["A plan"]


def test_windows_line_ends_are_read(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_bytes(PLAN.replace("\n", "\r\n").encode())
    assert next(iter(plan_texts(str(tmp_path / "plan.yaml")))).read().set.chassis == "hot"


def test_a_page_holds_as_many_plans_as_it_has_procedures(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    first, second = plan_texts(str(tmp_path / "page.md"))
    assert first.read().header.title == "The first"
    with pytest.raises(Unreadable):
        second.read()


def test_a_mistake_on_a_page_stands_at_the_line_and_column_of_the_page(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(PAGE)
    _, second = plan_texts(str(tmp_path / "page.md"))
    with pytest.raises(Unreadable) as caught:
        second.read()
    place = caught.value.problems[0].place
    assert place is not None
    assert PAGE.splitlines()[place.line - 1][place.column - 1:].startswith("chasis")


def test_a_page_without_a_procedure_is_a_mistake_where_it_was_asked_for_by_name(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text("# Only words\n")
    assert "no procedure" in why_not(tmp_path / "page.md")


def test_a_page_without_a_procedure_is_passed_over_in_a_folder(tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text("# Only words\n")
    assert list(plan_texts(str(tmp_path / "page.md"), asked_by_name=False)) == []


def test_a_missing_file_says_so(tmp_path: Path) -> None:
    assert why_not(tmp_path / "none.yaml") == "there is no such file"


@pytest.mark.parametrize("source", [b"", b"\n \n", b"\xef\xbb\xbf"])
def test_an_empty_file_says_so(source: bytes) -> None:
    assert why_not("-", source).startswith("the file is empty")


def test_a_file_that_is_not_utf_8_says_so() -> None:
    assert why_not("-", "procedure: {title: Röhre}".encode("latin-1")).startswith("This is not UTF-8")


def test_a_file_that_is_no_plan_says_so() -> None:
    assert why_not("-", b"a: b\n").startswith("this is not a plan")


def test_a_file_that_is_too_large_says_so(tmp_path: Path) -> None:
    (tmp_path / "large.yaml").write_bytes(b"#" * (LARGEST + 1))
    assert "larger than 1 MiB" in why_not(tmp_path / "large.yaml")


def test_a_folder_without_plans_says_so(tmp_path: Path) -> None:
    assert files_under([str(tmp_path)]) == (tmp_path.as_posix(),)
    assert why_not(tmp_path).startswith("this folder has no plans")


def test_a_folder_stands_for_its_plans_and_pages_in_order(tmp_path: Path) -> None:
    for name in ("b.yaml", "a.md", "inner/c.yml", "inner/d.markdown", "E.YAML"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(PLAN)
    found = [Path(file).relative_to(tmp_path).as_posix() for file in files_under([str(tmp_path)])]
    assert found == ["E.YAML", "a.md", "b.yaml", "inner/c.yml", "inner/d.markdown"]


@pytest.mark.parametrize("name", ["notes.txt", "north.card.yaml", ".hidden.yaml", ".hidden/plan.yaml", "plan"])
def test_a_folder_does_not_stand_for_anything_else(name: str, tmp_path: Path) -> None:
    (tmp_path / name).parent.mkdir(exist_ok=True)
    (tmp_path / name).write_text(PLAN)
    assert files_under([str(tmp_path)]) == (tmp_path.as_posix(),)


def test_a_file_that_is_asked_for_twice_is_read_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.yaml").write_text(PLAN)
    monkeypatch.chdir(tmp_path)
    assert files_under(["a.yaml", "./a.yaml", "."]) == ("a.yaml",)


def test_a_policy_that_is_named_beside_plans_is_left_out() -> None:
    assert files_under(["a.yaml", "power-up-policy.yaml", "shop.policy.yaml"]) == ("a.yaml",)


def test_a_policy_that_is_named_alone_says_that_it_is_no_plan() -> None:
    assert files_under(["power-up-policy.yaml"]) == ("power-up-policy.yaml",)
    assert "a policy and no plan" in why_not("power-up-policy.yaml")


def test_files_are_read_in_the_order_in_which_they_were_asked_for() -> None:
    assert files_under(["b.yaml", "-", "a.yaml"]) == ("b.yaml", "-", "a.yaml")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the owner of the machine may read all")
@pytest.mark.parametrize("name", ["plan.yaml", "north.card.yaml"])
def test_a_file_that_may_not_be_read_says_so(name: str, tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text("card: north\n" + PLAN)
    (tmp_path / "north.card.yaml").write_text("title: x\n")
    (tmp_path / name).chmod(0)
    assert "cannot be read" in why_not(tmp_path / "plan.yaml")
