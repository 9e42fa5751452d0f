"""Results as text: letters, and figures across clients."""
