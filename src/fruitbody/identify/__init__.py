"""What fits: likelihoods, priors, ranking, what is not excluded, what to look at next. Pure functions over NumPy."""

from fruitbody.identify.identify import Case, Identification, identify
from fruitbody.identify.parameters import Parameters

__all__ = ["Case", "Identification", "Parameters", "identify"]
