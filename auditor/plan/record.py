"""The base of every part of a plan: frozen, with unknown keys refused."""

from typing import Any

from pydantic import BaseModel, ConfigDict, model_validator


class Record(BaseModel):
    """A part of a plan. What is left out, or written `unknown`, is None: not stated."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    @model_validator(mode="before")
    @classmethod
    def without_what_is_not_stated(cls, value: Any) -> Any:
        """A known key without a value is as good as absent; an unknown one is still refused."""
        if not isinstance(value, dict) or None not in value.values():
            return value
        known = {name for field, info in cls.model_fields.items() for name in (field, info.alias)}
        return {key: item for key, item in value.items() if item is not None or key not in known}
