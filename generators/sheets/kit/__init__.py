"""What goes with a kit: packing list, labels, hose order, cut and bend list, price."""
