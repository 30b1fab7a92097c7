"""How long the generated tests search.

`fixed` is the same on every run and quick, for every change; `long` searches on, with other plans each time:
`pytest tests/properties --long`, or HYPOTHESIS_PROFILE=long.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, settings

SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]
PHASES = [Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink]
settings.register_profile("fixed", derandomize=True, deadline=None, phases=PHASES, suppress_health_check=SLOW)
settings.register_profile("long", max_examples=2000, deadline=None, phases=PHASES, suppress_health_check=SLOW)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--long", action="store_true", help="search generated plans for longer, with new ones each time")


def pytest_configure(config: pytest.Config) -> None:
    chosen = "long" if config.getoption("--long") else os.environ.get("HYPOTHESIS_PROFILE", "fixed")
    settings.load_profile(chosen)
