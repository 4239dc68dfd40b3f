"""The ports of ``services`` made real: SQLAlchemy for cases, fsspec for files by hash."""
