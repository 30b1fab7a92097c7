"""The base of every part of a plan: frozen, with unknown keys refused."""

from pydantic import BaseModel, ConfigDict


class Record(BaseModel):
    """A part of a plan. What is left out, or written `unknown`, is None: not stated."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
