"""Parts of pages: each draws one thing and decides nothing."""
