package trial

import (
	"fmt"

	"pulsewright/builtins"
)

// Bay is where the experiments of this package try a design, under one setting, on benches of its own. What a script prints
// in a trial is not shown. The same trials give the same results whatever else the session has on its bench.
type Bay struct {
	*Design
	C *builtins.Call
	Setting
	*Crew
	Trials int64
}

// NewBay opens a bay; close it in the end.
func NewBay(c *builtins.Call, d *Design) *Bay {
	l := &Bay{Design: d, C: c, Setting: PlainSetting(c.Env.Rules()), Crew: NewCrew(c.Env)}
	l.Late = c.Env.Late
	return l
}

// Of is the bay with another design in it.
func (l *Bay) Of(d *Design) *Bay {
	return &Bay{Design: d, C: l.C, Setting: l.Setting, Crew: l.Crew}
}

// One is the runner for trials that are made one after the other.
func (l *Bay) One() *Runner { return l.Runner(0) }

// Pose builds the machine, or brings it back to how it was built. size counts only where build takes one.
func (l *Bay) Pose(r *Runner, size int) (*Rigged, error) {
	if err := l.C.Env.Stopped(); err != nil {
		return nil, err
	}
	r.Trials++
	t, err := r.Rigged(l.Design, l.Setting, size)
	if err != nil {
		what := "build"
		if l.Chained {
			what = "slice"
		}
		return nil, fmt.Errorf("%s: %w", what, err)
	}
	t.Begin(0)
	return t, nil
}
