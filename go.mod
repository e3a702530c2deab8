module pulsewright

go 1.26
