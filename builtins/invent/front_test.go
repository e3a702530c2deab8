package invent

import (
	"testing"

	"pulsewright/builtins/stage"
)

// TestFrontWithoutOut: of machines from which nothing comes out nothing is read, and compare says so.
func TestFrontWithoutOut(t *testing.T) {
	s := stage.New()
	s.Workers = 2
	stage.MustSession(t, s, `
r = search(task((0, 0), over=[0, 1], fall="late"), ((0, 0), (1, 0)), ["link", "wire"], front=True)
expect(r.front)
expect_error(lambda: compare(r.front), "compare: for parameter designs: got a machine that was found for a task without out, or of kinds that no script can tell, which has no .build, want machines of a task with out, or a design")
`)
}
