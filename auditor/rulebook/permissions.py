"""What one permission to accept risks has to do with another: which is the wider, and what both permit."""

from __future__ import annotations

from msgspec.structs import replace

from auditor.plan.values import listed
from auditor.rulebook.policy import Permission
from auditor.rulebook.rule import SIGNAL_WORDS, Rulebook


def meet(one: Permission, other: Permission, rulebook: Rulebook) -> Permission | None:
    """What two permissions have in common; None where that is nothing."""
    who = tuple(name for name in one.who or other.who if not other.who or name in other.who)
    words = [each.up_to for each in (one, other) if each.up_to is not None]
    up_to = max(words, key=SIGNAL_WORDS.index) if len(words) == 2 else None
    rules = tuple(dict.fromkeys(name for mine, its in ((one, other), (other, one)) for name in mine.rules
                                if covers(replace(its, who=(), longest=None), Permission((), (name,), None, None, None),
                                           rulebook)))
    if (not who and one.who) or not (rules or up_to):
        return None
    shorter = min((each for each in (one, other) if each.longest is not None), key=lambda each: each.longest or 0.0,
                  default=one)
    return Permission(who, rules, up_to, shorter.longest, shorter.written)


def covers(wider: Permission, other: Permission, rulebook: Rulebook) -> bool:
    """Whether whatever the other permits is permitted by this one already, to the same persons and for as long."""
    words = [rulebook.by_name[name].text.signal_word for name in other.rules if name not in wider.rules]
    words += [other.up_to] if other.up_to is not None else []
    lowest = len(SIGNAL_WORDS) if wider.up_to is None else SIGNAL_WORDS.index(wider.up_to)
    return (all(SIGNAL_WORDS.index(word) >= lowest for word in words)
            and (not wider.who or (bool(other.who) and set(other.who) <= set(wider.who)))
            and (wider.longest is None or (other.longest is not None and other.longest <= wider.longest)))


def said(permission: Permission) -> str:
    """A permission in one sentence."""
    who = listed(permission.who) if permission.who else "anybody"
    what = " and ".join(filter(None, (listed(permission.rules, "and") if permission.rules else "",
                                      f"every rule up to {permission.up_to}" if permission.up_to else "")))
    return f"{who} may accept {what}{f' for {permission.written}' if permission.written else ''}."
