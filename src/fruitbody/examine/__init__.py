"""What was seen: the Finding type and its units; photos and spores."""

from fruitbody.examine.finding import Answer, Finding, FindingError, Measured, Observer, SeenOn, Soft

__all__ = ["Answer", "Finding", "FindingError", "Measured", "Observer", "SeenOn", "Soft"]
