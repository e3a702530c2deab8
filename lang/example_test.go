package lang_test

import (
	"context"
	"fmt"
	"os"

	"pulsewright/lang"
)

// A session runs a script, and prints its step log as time passes.
func ExampleSession_Exec() {
	s, err := lang.New(lang.Config{Out: os.Stdout, Err: os.Stdout})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer s.Close()
	err = s.Exec(context.Background(), "quay.star", `
quay = key((0, 0), name="quay")
line = wire((1, 0), (4, 0))
link((4, 1), "+y", name="E1")
link((4, 2), "+y", name="E2")
press(quay)
run()
print("E2 is", state("E2").state)
wire((2, 0))
`)
	s.Report(err)
	// Output:
	//    tick step  who                          what      because of
	// »     1    0  quay                       ⇡ on        press
	//       1    0  4 wires (1, 0)⋯(4, 0)      ⇡ live      quay on
	//       1    1  E1                         ⇡ out       wire (4, 0) live
	//       1    2  E2                         ⇡ out       E1 out
	// E2 is out
	// quay.star:9:5: wire: cell (2, 0) already holds a wire; remove it first
	//     wire((2, 0))
	//         ^
}
