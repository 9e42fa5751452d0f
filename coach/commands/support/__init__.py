"""What the commands share: arguments, loading, output."""
