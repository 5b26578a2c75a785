"""The demo shop: an invented sign maker in an invented harbour town."""
