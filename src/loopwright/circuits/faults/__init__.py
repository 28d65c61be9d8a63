"""What may fail, part by part and all over the array."""
