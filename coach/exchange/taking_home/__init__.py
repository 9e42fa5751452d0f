"""A client is packed in the clinic and unpacked at home."""
