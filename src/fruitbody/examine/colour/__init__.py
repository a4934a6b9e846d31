"""Colour: what a typed or photographed colour is, how surely, and what it is called.

spaces.py, ciede2000.py       sRGB, XYZ, CIELAB, CIELCh; how far apart two colours look
names.py                      ISCC–NBS names and Ridgway's
pixels.py, patch.py           the colour of a round patch of a photo, with its uncertainty
correction.py, patches.py     the light taken out by a white, a grey or the card's patches
plain.py                      the funga's plain colours and print colours as soft evidence
charts.py                     codes of colour charts, typed
"""

from fruitbody.examine.colour.spaces import ColourError

__all__ = ["ColourError"]
