"""One module per page: read state, ask services, show, and on a button make one service call."""
