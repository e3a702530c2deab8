// Pulsewright is a shell and a scripting language for timing experiments with pulses so short that they are counted in
// steps of the update order inside one tick.
package main

import (
	"os"

	"pulsewright/lang"
	"pulsewright/lang/confine"
)

func main() {
	inside := confine.Enter()
	lang.TuneCollector()
	stderr := os.Stderr
	if inside != nil {
		stderr = inside.Err
	}
	a := newApp(os.Stdin, os.Stdout, stderr)
	a.untrusted.inside = inside
	os.Exit(a.run(os.Args[1:]))
}
