"""Nothing of the person who runs the tests reaches them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(scope="session", autouse=True)
def _no_own_profiles(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Own profiles are looked for in an empty folder."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        yield
