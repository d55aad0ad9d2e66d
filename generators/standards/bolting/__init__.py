"""What a bolted joint is made of: classes and stress areas, stock lengths, locking nuts, washers."""
