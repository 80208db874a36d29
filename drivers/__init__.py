"""Everything between the wizard and a machine: commands, replies, the line, the safety envelope."""
