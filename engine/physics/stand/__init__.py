"""What the machine stands on and how: floor, feet, balance, noise, lifting."""
