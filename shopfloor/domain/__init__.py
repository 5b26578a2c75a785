"""The rules of the trade. Pure: no SQL, no Flask, no clock, no disk, no randomness of its own."""
