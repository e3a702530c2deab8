// Pulsewright is a shell and a scripting language for timing experiments with pulses so short that they are counted in
// steps of the update order inside one tick.
package main

import (
	"os"

	"pulsewright/lang"
)

func main() {
	lang.TuneCollector()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
