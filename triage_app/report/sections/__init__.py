"""The sections of the report, one module each: material in, blocks out. All wording is here."""
