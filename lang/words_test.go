package lang

import (
	"context"
	"slices"
	"strings"
	"testing"

	"pulsewright/builtins"
)

// TestWordsInParallelTrials runs the example of every word in trials that run side by side: under the race detector it finds what they
// share and should not. Whether a word may be used there is not asked.
func TestWordsInParallelTrials(t *testing.T) {
	entries := append(slices.Clone(builtins.Entries()), argEntry)
	ran := 0
	for _, e := range entries {
		var body strings.Builder
		for line := range strings.Lines(e.Example) {
			if strings.HasPrefix(line, "load(") {
				continue // inside of a function nothing is loaded
			}
			body.WriteString("    " + strings.TrimRight(line, "\n") + "\n")
		}
		s := newSession(t, Config{Workers: 4})
		src := "def example(n):\n" + body.String() + "    return n\nsweep(example, range(8))\n"
		if err := s.Command(context.Background(), src); err != nil {
			continue // a word that is for sessions only, or a name that was loaded
		}
		ran++
	}
	if ran < len(entries)/2 {
		t.Errorf("%d of %d examples ran to their end", ran, len(entries))
	}
}
