"""The records of the database and of a manual. No YAML, no clock, no words of the site."""
