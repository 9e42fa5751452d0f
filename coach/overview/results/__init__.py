"""What became of clients: what was measured first and last, what was trained, and figures across clients."""
