"""A drawing file in, outlines in millimetres out."""
