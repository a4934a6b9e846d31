"""Fruitbody: the identification desk of a clinic that names mushrooms for the public."""

__version__ = "0.1.0"
