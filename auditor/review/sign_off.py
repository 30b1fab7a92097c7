"""Whether a plan is still the one that somebody signed off."""

from __future__ import annotations

from auditor.plan.fingerprint import plan_fingerprint
from auditor.plan.plan import Plan


def signed_off(plan: Plan) -> tuple[str, ...]:
    """What every report says of the sign-off, in a sentence; nothing where the plan carries none."""
    sign_off = plan.signed_off
    if sign_off is None:
        return ()
    here = plan_fingerprint(plan)
    if sign_off.fingerprint == here:
        return (f"Signed off by {sign_off.by} on {sign_off.on}; plan and card have not changed since.",)
    changed = (f"Changed since it was signed off: {sign_off.by} signed {sign_off.fingerprint} on {sign_off.on}, and what "
               f"stands here now, with its card, is {here}. The sign-off no longer counts; have the plan reviewed again.")
    return (changed,)
