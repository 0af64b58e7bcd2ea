"""What of a void lies in wood, what reaches air, and what is near."""
