"""Systems: chains of passes side by side."""
