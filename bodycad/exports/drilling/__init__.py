"""The drilling schedule: every hole as a table and as a page for the bench."""
