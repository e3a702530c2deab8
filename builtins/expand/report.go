package expand

import (
	"fmt"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// diagnose finds what was short at a size that fails: the rule which, if it were more, would let it pass.
func (x *expansion) diagnose(size int) error {
	x.fails, x.shownFrom = size, 0
	for _, r := range x.runs[size] {
		if r.ledger == nil { // it was not sent any more
			continue
		}
		if same, err := starlark.Equal(r.n, x.number); err != nil || !same {
			continue
		}
		if smaller := x.ran(size-1, r.nth); smaller != nil && smaller.ledger != nil {
			x.oddOne = firstOdd(smaller.ledger, r.ledger)
		}
	}
	rules := x.Rules
	defer func() { x.Rules = rules }()
	for _, longer := range []struct {
		name string
		set  func(r *engine.Rules)
	}{
		{"reach", func(r *engine.Rules) { r.Reach = min(8*r.Reach+8*size, engine.MaxReach) }},
		{"run", func(r *engine.Rules) { r.Run = min(8*r.Run+8*size, engine.MaxRun) }},
	} {
		x.Rules = rules
		longer.set(&x.Rules)
		x.Trials++
		run, err := x.run(x.One(), size, x.number, false)
		if stopped := x.C.Env.Stopped(); stopped != nil {
			return stopped
		}
		if err == nil && run.got == "" {
			x.breaks = longer.name
			return nil
		}
	}
	return nil
}

// oddSlice is the first slice of a machine that is not as in the machine one smaller; nth: from 1, which begins at the frame; 0: not known.
type oddSlice struct {
	nth  int
	made bool // it is made otherwise; else only what it does is other
}

// firstOdd compares two machines from the first slice on, among the slices that both have: what lies past the last slice of the
// smaller one, or before the first, is no slice that the other has, too.
func firstOdd(small, large *ledger) oddSlice {
	if small.first != large.first {
		return oddSlice{}
	}
	k := 0
	for k < len(small.slices) && k < len(large.slices) && alike(&small.slices[k], &large.slices[k]) {
		k++
	}
	nth := large.first + k + 1
	if k == len(small.slices) || k == len(large.slices) || nth < 1 || nth > small.size {
		return oddSlice{}
	}
	return oddSlice{nth, small.slices[k].made != large.slices[k].made}
}

// ranSizes says which sizes were run, one after the other and beyond.
func (x *expansion) ranSizes() string {
	further := slices.Clone(x.beyonds)
	if x.fails > x.tested {
		further = append(further, x.fails)
	}
	slices.Sort(further)
	further = slices.Compact(further)
	switch {
	case len(further) == 0:
		return x.inARow()
	case x.tested >= x.least:
		return x.inARow() + ", and " + say.Ranges(further)
	case len(further) == 1:
		return "size " + say.Ranges(further)
	}
	return "sizes " + say.Ranges(further)
}

// inARow says which sizes were run one after the other, all numbers of each.
func (x *expansion) inARow() string {
	if x.tested < x.least {
		return "no size"
	}
	return fmt.Sprintf("all sizes from %d to %d", x.least, x.tested)
}

func (x *expansion) report() *builtins.Report {
	var s strings.Builder
	f := starlark.StringDict{
		"design": starlark.String(x.Name), "verdict": starlark.String("tested"), "shown_from": starlark.None, "tested": starlark.MakeInt(x.tested),
		"fails": starlark.None, "number": starlark.None, "got": starlark.None, "breaks": starlark.None, "why": starlark.None,
		"slices": starlark.None, "near": starlark.MakeInt(x.near), "trials": starlark.MakeInt64(x.Trials), "crosses": starlark.None, "beyond": starlark.None,
		"period": starlark.None, "period_slices": starlark.None, "ends": starlark.None, "built": starlark.MakeInt(x.built), "drift": starlark.None, "partly": starlark.None, "assumes": starlark.None,
	}
	for _, size := range x.beyonds {
		if size != x.fails {
			f["beyond"] = starlark.MakeInt(size)
		}
	}
	if x.sizes > 0 {
		f["period"], f["period_slices"] = starlark.MakeInt(x.sizes), starlark.MakeInt(x.slices)
		f["ends"] = starlark.Tuple{starlark.MakeInt(x.head), starlark.MakeInt(x.tail)}
	}
	if x.drifts != (when{}) {
		f["drift"] = starlark.String(x.drifts.String())
	}
	switch {
	case x.fails > 0:
		f["verdict"], f["fails"], f["number"], f["got"] = starlark.String("fails"), starlark.MakeInt(x.fails), x.number, starlark.String(x.got)
		x.failure(&s, f)
	case x.shownFrom > 0:
		f["verdict"], f["shown_from"], f["slices"] = starlark.String("any size"), starlark.MakeInt(x.shownFrom), starlark.MakeInt(x.overlap)
		assumes := x.assumes()
		f["assumes"] = starlark.String(assumes)
		fmt.Fprintf(&s, "verdict    works at any size, for the numbers tried, by induction from size %d on, as long as this holds:", x.shownFrom)
		fmt.Fprintf(&s, "\nassumed    %s", assumes)
		fmt.Fprintf(&s, "\nrepeats    %s; at least %s do the same, a constant time apart, where %d are needed; parts touch each other over %s", x.repeats(), say.Count(x.overlap, "slice"), 2*x.near+x.slices, say.Count(x.near, "slice"))
	default:
		fmt.Fprintf(&s, "verdict    tested only: read right at %s", x.inARow())
	}
	if x.crosses > 0 {
		f["crosses"] = starlark.MakeInt(x.crosses)
	}
	if x.why != "" && x.shownFrom == 0 {
		f["why"] = starlark.String(x.why)
		fmt.Fprintf(&s, "\nnot shown  %s", x.why)
		if x.fails == 0 && x.sizes > 1 {
			fmt.Fprintf(&s, "\nrepeats    %s, as built", x.repeats())
		}
	}
	fmt.Fprintf(&s, "\nran        %s", x.ranSizes())
	if x.partly > 0 {
		f["partly"] = starlark.MakeInt(x.partly)
		fmt.Fprintf(&s, "; on to %d with the numbers that were not shown before", x.partly)
	}
	if x.ends > 0 {
		fmt.Fprintf(&s, "; %d with the first and the last number only", x.ends)
	}
	fmt.Fprintf(&s, "; %s", say.Count(int(x.Trials), "trial"))
	hold.FreezeAll(f)
	return &builtins.Report{Name: "expandable", Text: s.String(), Fields: f}
}

// repeats says after how many sizes and slices the machine repeats, and what of it does not.
func (x *expansion) repeats() string {
	text := fmt.Sprintf("every %s, with %s more", say.Count(x.slices, "slice"), say.Count(x.sizes, "size"))
	switch {
	case x.sizes == 1 && x.slices == 1:
		text = "every slice is like the one before"
	case x.sizes == x.slices:
		text = fmt.Sprintf("every %d slices", x.slices)
	}
	var but []string
	for _, end := range []struct {
		which string
		n     int
	}{{"first", x.head}, {"last", x.tail}} {
		switch end.n {
		case 0:
		case 1:
			but = append(but, "the "+end.which)
		default:
			but = append(but, fmt.Sprintf("the %s %d", end.which, end.n))
		}
	}
	if but != nil {
		text += ", but for " + strings.Join(but, " and ")
	}
	return text
}

// assumes names what is taken for granted where a claim is made.
func (x *expansion) assumes() string {
	built := fmt.Sprintf("all sizes from %d to %d", x.least, max(x.built, x.tested))
	if x.Chained {
		built = fmt.Sprintf("a chain of %d", max(x.built, x.tested))
	}
	if x.far > 0 {
		built += fmt.Sprintf(" and %d", x.far)
	}
	numbers := "send and read do the same at every size"
	if x.OverSize() && !x.fixed {
		numbers = "send and read treat every size and larger numbers as those tried"
	}
	return fmt.Sprintf("larger machines go on as built (checked: %s); %s%s, wherever parts stand and whatever they are called; the rules are those in force, the neighbour order the same in all cells", built, numbers, x.freely())
}

// failure says what fails, and what was short.
func (x *expansion) failure(s *strings.Builder, f starlark.StringDict) {
	fmt.Fprintf(s, "verdict    fails at size %d: ", x.fails)
	number := "number " + builtins.Show(x.number)
	// A reading that is a text is shown in quotes: it is not taken for one of these.
	if what, ok := strings.CutPrefix(x.got, trial.ErrorIs); ok {
		fmt.Fprintf(s, "for %s read ended in an error (%s)", number, what)
	} else if what, ok := strings.CutPrefix(x.got, nothingIs); ok {
		fmt.Fprintf(s, "for %s nothing is read (%s)", number, what)
	} else {
		fmt.Fprintf(s, "%s is read as %s", number, x.got)
	}
	if x.breaks != "" {
		f["breaks"] = starlark.String(x.breaks)
		now := x.Rules.Reach
		if x.breaks == "run" {
			now = x.Rules.Run
		}
		fmt.Fprintf(s, "\nbreaks     the %s, %d: with a longer one it reads right", x.breaks, now)
	} else {
		s.WriteString("\nbreaks     neither reach nor run: with more of either it fails as well")
	}
	if n := int32(x.oddOne.nth); n > 0 {
		does := "does not do what it does"
		if x.oddOne.made {
			does = "is not made as it is"
		}
		at := engine.Cell{X: (n - 1) * x.pitch.X, Y: (n - 1) * x.pitch.Y, Z: (n - 1) * x.pitch.Z}
		fmt.Fprintf(s, "\nfirst      slice %d, from cell %v on, is the first that %s in a machine one smaller", n, at, does)
	}
}
