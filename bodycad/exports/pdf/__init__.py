"""Paper at true size, as PDF; the only user of reportlab."""
