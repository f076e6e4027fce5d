"""The demo sites, for checks of what is computed on them."""

from tests.study.conftest import demo  # noqa: F401
