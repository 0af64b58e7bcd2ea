"""The version of this package; pyproject.toml says the same."""

VERSION = "0.1.0"
