package survey

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
)

// ran says what was run, and what it covers.
func (f *Finding) ran() string {
	p := f.Plan
	var b strings.Builder
	units, most, orientations := 0, 0, 0
	for k := range p.Rows {
		units += len(p.unitsOf(k))
		if p.Rows[k].Mixed {
			continue
		}
		l, run := p.Layouts[p.Rows[k].Layout], 0
		for u := p.starts[k]; u < p.starts[k+1]; u++ {
			run += builtins.BoolInt(p.like(u) > 0)
		}
		most, orientations = max(most, run), max(orientations, len(l))
	}
	fmt.Fprintf(&b, "run: %s under %s, %s, each case up to its first failure\n", say.Count(units, "case"), say.Count(len(p.Rows), "setting"), say.Count(int(f.Runs), "transmission"))
	b.WriteString(f.byLot())
	switch {
	case p.plainRows() == 0:
	case p.Apart != "":
		fmt.Fprintf(&b, "no case follows from another: %s\n", p.Apart)
	case f.doubt == "":
		var how string
		switch {
		case orientations == len(allPoses()) && p.Asked&builtins.AskedPlace != 0:
			how = "no orientation follows from another, since send or read asks where something lies"
		case orientations == len(allPoses()):
			how = "no orientation follows from another: the design is another in each"
		case p.Down:
			how = fmt.Sprintf("%d of 48 orientations, which the others were found to follow by rotations about the vertical, since tokens drop, part for part and event for event", orientations)
		default:
			how = fmt.Sprintf("%d of 48 orientations, which the others were found to follow by rotations and mirror images, part for part and event for event", orientations)
		}
		of := "of neighbour orders that some cell can tell apart"
		if p.Orders != nil {
			of = "each an orientation under an order asked for, which some cell can tell from the others"
		}
		fmt.Fprintf(&b, "covers %d transmissions%s: %s; at most %s a row, %s\n", f.cases-f.mixed, p.besides(), how, say.Count(most, "case"), of)
		if p.Compared > 0 {
			fmt.Fprintf(&b, "of a sending that is stopped, or takes longer, the first %d turns were compared\n", p.Compared)
		}
		if p.Checked > 0 {
			fmt.Fprintf(&b, "checked: %s that %s run all the same, and did the same\n", say.Count(p.Checked, "case"), follow(p.Checked))
		}
	}
	return b.String()
}

// byLot says how many cases were drawn for each row, and how many of these were tried; "" if none were drawn.
func (f *Finding) byLot() string {
	p := f.Plan
	var s string
	switch {
	case p.Sample == 0 && p.Mixed == 0:
		return ""
	case p.Mixed == 0:
		s = fmt.Sprintf("by lot: %s for each row, drawn with seed %d", say.Count(p.Sample, "case"), p.Seed)
	default:
		s = p.mixedLot()
	}
	if f.bounded() {
		s += "; the last column is the one-sided upper bound of Clopper and Pearson (Biometrika 26, 1934) at 95 %"
	}
	if cut := f.cutShort(); cut > 0 {
		s += fmt.Sprintf("; in %d of %s only %d cases were tried, since all of these were stopped, and they bound nothing", cut, say.Count(len(f.Rows), "row"), mostScouts)
	}
	return s + "\n"
}

// cutShort is in how many rows the rest was left out, since all that were tried first were stopped.
func (f *Finding) cutShort() (rows int) {
	for _, r := range f.Rows {
		rows += builtins.BoolInt(r.Only != nil && (f.Plan.Sample > 0 || r.Mixed))
	}
	return rows
}

// bounded reports whether there is a row whose cases drawn by lot bound how many do not hold.
func (f *Finding) bounded() bool { return slices.ContainsFunc(f.Rows, f.lot) }

// lot reports whether the cases of a row were drawn by lot, and bound how many do not hold.
func (f *Finding) lot(r findingRow) bool { return (f.Plan.Sample > 0 || r.Mixed) && r.Only == nil }

// follow is the verb for so many cases that were run to check.
func follow(n int) string {
	if n == 1 {
		return "follows was"
	}
	return "follow were"
}
