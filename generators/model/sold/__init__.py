"""What is sold, as plain data: serials and the code on the packing list."""
