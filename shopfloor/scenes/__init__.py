"""What a nest and a sign look like, described once for the screen and for paper. Start with `scene`, then `nest` and `sign`."""
