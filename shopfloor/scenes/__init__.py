"""What a sign and a nest look like, in millimetres: shapes, hatches, numbers, tabs, tape and dimension lines."""
