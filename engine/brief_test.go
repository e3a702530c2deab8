package engine

import (
	"context"
	"errors"
	"testing"
)

// TestBriefRuns: a run that is to be brief gives up at the same moment as any other, and does not find out why.
func TestBriefRuns(t *testing.T) {
	for _, ticks := range []int{0, 1} {
		var at [2]Instant
		for i, brief := range []bool{false, true} {
			b := New(DefaultRules())
			g, err := b.Place(Cell{}, Part{Kind: Gate, Op: Nor, Ticks: ticks})
			if err == nil {
				err = b.Patch(g, g, Cord{Power: true, News: true})
			}
			if err != nil {
				t.Fatal(err)
			}
			b.Nudge(Target{ID: g}, false, 1)
			err = b.Run(context.Background(), Budget{Turns: 100, Ticks: 50, Brief: brief})
			at[i] = b.Now()
			var away *Runaway
			var restless *Restless
			switch {
			case errors.As(err, &away) && ticks == 0:
				if known := len(away.Parts) > 0; known == brief {
					t.Errorf("brief %v: %v", brief, err)
				}
			case errors.As(err, &restless) && ticks == 1:
				if known := restless.Every > 0; known == brief {
					t.Errorf("brief %v: %v", brief, err)
				}
			default:
				t.Errorf("ticks=%d, brief %v: it ended in %v", ticks, brief, err)
			}
		}
		if at[0] != at[1] {
			t.Errorf("ticks=%d: it gives up at %v, brief at %v", ticks, at[0], at[1])
		}
	}
}
