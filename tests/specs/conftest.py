from __future__ import annotations

import pytest
from tests.specs.sites import SITES, loaded

from wiregen.reading.model import Site


@pytest.fixture(scope="session")
def sites(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Site]:
    return {name: loaded(name, tmp_path_factory.mktemp("sites")) for name in SITES}
