"""What a photo can tell: taking it in, scale, sharpness, colour, outline."""
