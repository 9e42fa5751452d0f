"""What all commands share: arguments, loading, output."""
