"""The only PDF of the project: labels and tickets."""
