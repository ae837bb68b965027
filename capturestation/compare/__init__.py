"""Against the own best: who may be compared, the time map, paired differences, what plays when."""
