"""The version, said once: the package, its results and the build take it from here."""

__version__ = "0.1.0"
