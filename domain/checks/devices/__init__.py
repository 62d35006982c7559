"""What is wrong with single devices: batteries, banks, isolators, capacitors, bus bars."""
