"""How good the engine is: specimens of known kind, figures, peers, the fit."""
