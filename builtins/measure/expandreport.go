package measure

import (
	"fmt"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
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
			a, b := smaller.ledger, r.ledger
			for x.slice = 0; x.slice < len(a.slices) && x.slice < len(b.slices) && alike(&a.slices[x.slice], &b.slices[x.slice]); {
				x.slice++
			}
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

func (x *expansion) report() *builtins.Report {
	var s strings.Builder
	f := starlark.StringDict{
		"design": starlark.String(x.Name), "verdict": starlark.String("tested"), "shown_from": starlark.None, "tested": starlark.MakeInt(x.tested),
		"fails": starlark.None, "number": starlark.None, "got": starlark.None, "breaks": starlark.None, "why": starlark.None,
		"slices": starlark.None, "near": starlark.MakeInt(x.near), "trials": starlark.MakeInt64(x.Trials), "crosses": starlark.None, "beyond": starlark.None,
		"period": starlark.None, "period_slices": starlark.None, "built": starlark.MakeInt(x.built), "drift": starlark.None, "partly": starlark.None, "assumes": starlark.None,
	}
	for _, size := range x.beyonds {
		if size != x.fails {
			f["beyond"] = starlark.MakeInt(size)
		}
	}
	if x.sizes > 0 {
		f["period"], f["period_slices"] = starlark.MakeInt(x.sizes), starlark.MakeInt(x.slices)
	}
	if x.drifts != (when{}) {
		f["drift"] = starlark.String(x.drifts.String())
	}
	ran := fmt.Sprintf("all sizes from %d to %d", x.least, x.tested)
	if x.tested < x.least {
		ran = "no size"
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
		fmt.Fprintf(&s, "verdict    tested only: read right at %s", ran)
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
	fmt.Fprintf(&s, "\nran        %s", ran)
	if len(x.beyonds) > 0 {
		fmt.Fprintf(&s, ", and %s", strings.Trim(strings.ReplaceAll(fmt.Sprint(x.beyonds), " ", ", "), "[]"))
	}
	if x.partly > 0 {
		f["partly"] = starlark.MakeInt(x.partly)
		fmt.Fprintf(&s, "; on to %d with the numbers that were not shown before", x.partly)
	}
	if x.ends > 0 {
		fmt.Fprintf(&s, "; %d with the first and the last number only", x.ends)
	}
	fmt.Fprintf(&s, "; %s", say.Count(int(x.Trials), "trial"))
	f.Freeze()
	return &builtins.Report{Name: "expandable", Text: s.String(), Fields: f}
}

// repeats says after how many sizes and slices the machine repeats.
func (x *expansion) repeats() string {
	if x.sizes == 1 && x.slices == 1 {
		return "every slice is like the one before"
	}
	if x.sizes == x.slices {
		return fmt.Sprintf("every %d slices", x.slices)
	}
	return fmt.Sprintf("every %s, with %s more", say.Count(x.slices, "slice"), say.Count(x.sizes, "size"))
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
	if x.OverOf != nil && !x.fixed {
		numbers = "send and read treat every size and larger numbers as those tried"
	}
	return fmt.Sprintf("larger machines go on as built (checked: %s); %s, wherever parts stand; the rules are those in force", built, numbers)
}

// failure says what fails, and what was short.
func (x *expansion) failure(s *strings.Builder, f starlark.StringDict) {
	fmt.Fprintf(s, "verdict    fails at size %d: number %s is read as %s", x.fails, builtins.Show(x.number), x.got)
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
	if x.slice >= 0 {
		fmt.Fprintf(s, "\nfirst      slice %d is the first that does not do what it does in a machine one smaller", x.slice+1)
	}
}
