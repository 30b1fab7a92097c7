"""YAML as an editor sees it that knows nothing of this project: by `ruamel.yaml` alone, YAML 1.2, as JSON data."""

from __future__ import annotations

from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.constructor import SafeConstructor


class JsonTypes(SafeConstructor):
    """A day is text, since JSON has no days."""


JsonTypes.add_constructor("tag:yaml.org,2002:timestamp", SafeConstructor.construct_yaml_str)


def documents(text: str) -> list[Any]:
    """Every document of the text. Raises ruamel.yaml.error.YAMLError where it is not YAML."""
    yaml = YAML(typ="safe", pure=True)
    yaml.Constructor = JsonTypes
    return list(yaml.load_all(text))


def document(text: str) -> Any:
    """The one document of the text."""
    (data,) = documents(text)
    return data
