"""What is to be done to cut a design, what must come before what, and an order that keeps it."""
