"""The only SQL of the project, one module a feature. A store function takes an open connection and never commits."""
