"""The plant in time: pump, line, buffer, relief, destination and control as one set of equations."""
