"""Baselines, running dimensions and full-size templates. Start with `setting_out`."""
