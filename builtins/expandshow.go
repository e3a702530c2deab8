package builtins

import (
	"fmt"

	"go.starlark.net/starlark"
	"go.starlark.net/starlarkstruct"
)

// show applies the argument of induction.go to the runs of a size and those of one and of two periods less.
func (x *expansion) show(size int) bool {
	p := x.sizes
	a, b, c := x.runs[size-2*p], x.runs[size-p], x.runs[size]
	var plans [3]*plan
	for i := range plans {
		plans[i] = x.plans[size-(2-i)*p]
		if plans[i] == nil {
			return false
		}
		if plans[i].amiss != "" {
			x.why = plans[i].amiss
			return false
		}
	}
	x.near = max(plans[0].near, plans[1].near, plans[2].near)
	if plans[0].more(plans[1]) != x.slices || plans[1].more(plans[2]) != x.slices {
		x.why = fmt.Sprintf("the slices of sizes %d, %d and %d do not repeat often enough yet", size-2*p, size-p, size)
		return false
	}
	for _, runs := range [][]oneRun{a, b, c} {
		for _, r := range runs {
			if r.ledger == nil {
				x.why = r.bad
				return false
			}
			if r.asks != "" {
				x.why = fmt.Sprintf("send or read asks for %s(…), which may go by the size", r.asks)
				return false
			}
		}
	}
	more := len(b) - len(a) // numbers that a period more brings
	growing := x.overOf != nil && !x.fixed && more > 0
	if growing && len(c)-len(b) != more {
		x.why = "the numbers do not grow evenly with the size"
		return false
	}
	var stays, grows []bool
	x.overlap = 1 << 30
	for _, r := range a {
		var how [2]bool
		why := "its number is not sent at every size"
		for move := range how {
			step := 0
			if move == 1 {
				if !growing {
					break
				}
				step = more
			}
			i, k := numbered(b, r.n, step), numbered(c, r.n, 2*step)
			if i < 0 || k < 0 {
				continue
			}
			w, ok := x.endless([3]oneRun{r, b[i], c[k]}, step)
			if how[move] = ok; ok {
				continue
			}
			if move == 0 { // as a rule what keeps a number from staying is what is amiss
				why = w
			}
			if x.crosses > 0 || x.drifts != (when{}) {
				x.why = fmt.Sprintf("number %s: %s", show(r.n), w)
				return false
			}
		}
		if !how[0] && !how[1] {
			x.why = fmt.Sprintf("number %s: %s", show(r.n), why)
			return false
		}
		stays, grows = append(stays, how[0]), append(grows, how[1])
	}
	if growing && !closed(stays, grows, more) {
		x.why = "no number has slices enough that repeat on both sides of its own slice"
		return false
	}
	x.crosses, x.why = 0, ""
	return true
}

// numbered finds the run of the number that is by step larger.
func numbered(runs []oneRun, n starlark.Value, step int) int {
	if i, ok := n.(starlark.Int); ok {
		n = i.Add(starlark.MakeInt(step))
	}
	for i, r := range runs {
		if same, err := starlark.Equal(r.n, n); err == nil && same {
			return i
		}
	}
	return -1
}

// endless reports whether three runs go on without end, and read with them.
func (x *expansion) endless(runs [3]oneRun, step int) (why string, ok bool) {
	why, overlap, crosses := endless([3]*ledger{runs[0].ledger, runs[1].ledger, runs[2].ledger}, x.slices, x.near)
	if crosses > 0 {
		x.crosses = runs[2].size + crosses*x.sizes
		return fmt.Sprintf("%s at about size %d", why, x.crosses), false
	}
	if why != "" {
		return why, false
	}
	why, by := drift([3][]port{runs[0].ports, runs[1].ports, runs[2].ports}, step)
	if by != (when{}) {
		x.drifts = by
		return fmt.Sprintf("%s, by %v with each %s more; it is read right as long as read makes nothing of that", why, by, x.oneMore()), false
	}
	if why == "" {
		x.overlap = min(x.overlap, overlap)
	}
	return why, why == ""
}

// oneMore is what a machine has more in the next size of its kind.
func (x *expansion) oneMore() string {
	if x.slices == 1 {
		return "slice"
	}
	return fmt.Sprintf("%d slices", x.slices)
}

// closed reports whether the numbers of every larger size come from those of this one, in order: the first ones stay as a
// slice is put in behind their own, the last ones grow with a slice put in before it, and as many as a slice has may do
// either, one after the other.
func closed(stays, grows []bool, slice int) bool {
	both := 0
	for i := range stays {
		if i > 0 && (stays[i] && !stays[i-1] || grows[i-1] && !grows[i]) {
			return false
		}
		if stays[i] && grows[i] {
			both++
		}
	}
	return both >= slice
}

// goesBySize finds out whether send or read looks at a value of the rig that is not the same at every size. why is "" if neither does.
func (x *expansion) goesBySize(size int) (why string, err error) {
	ways, hidden := differing(x.plans[size-x.sizes].leaves, x.plans[size].leaves)
	if hidden != "" {
		return fmt.Sprintf("the rig holds at %s what is not the same at every size; send and read may go by it", hidden), nil
	}
	if len(ways) == 0 {
		return "", nil
	}
	numbers, err := x.numbersOf(size)
	if err != nil {
		return "", err
	}
	touched := ""
	for _, n := range numbers {
		t, err := x.pose(x.one(), size)
		if err != nil {
			return "", err
		}
		rig, ok := t.rig.(*starlarkstruct.Struct)
		if !ok {
			return "the rig is not the same at every size; send and read may go by it", nil
		}
		t.dirty = true
		watching := sizedRig{rig, "", ways, &touched}
		if _, err = t.call(t.m.send, watching, n); err == nil {
			if err = t.quiet(); err == nil {
				_, err = t.call(t.m.read, watching)
			}
		}
		if stopped := x.c.Env.stopped(); stopped != nil {
			return "", stopped
		}
		if err != nil && touched == "" {
			touched = "(" + message(err) + ")"
		}
		if touched != "" {
			return fmt.Sprintf("send or read goes by %s of the rig, which is not the same at every size", touched), nil
		}
	}
	return "", nil
}
