"""What every room stands on: refusals, reading a question's fields, exact rounding."""
