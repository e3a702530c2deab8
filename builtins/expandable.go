package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func expandableWords() []Entry {
	return []Entry{{Name: "expandable", Topic: "experiments", Sentence: "Tries a design at growing sizes until its slices repeat, and says what that shows: that it works at any size, or only up to some; and what breaks first.",
		Params: []Param{
			{Name: "design", Type: "a design", Doc: "with pitch=, the offset from one slice to the next; its build takes a size, build(frame, size), with a default or without, and its over may be a function from the size to the numbers; or it has slice=: then a chain of these, fired at the input of the first and read at the output of the last"},
			{Name: "upto", Type: "number", Default: "64", Optional: true, Doc: "no size above this is tried, but those that the runs point to"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Keyword: true, Doc: "the numbers to send; None: those of the design"},
			{Name: "least", Type: "number", Default: "1", Optional: true, Keyword: true, Doc: "the smallest size"}},
		Returns: "a report with .verdict (\"any size\", \"tested\" or \"fails\"), .shown_from, .tested (the largest size up to which all were run), .fails (a size, or None), .number .got .breaks (what was short: \"reach\", \"run\" or None), .why .slices .trials",
		Example: "def build(f, size):\n    for k in range(size):\n        f.gate((2 * k, 0), \"+x\", \"buf\", pads=[(-1, 0, 0)])\n        f.wire((2 * k + 1, 0))\n    return struct(out=probe(f.part((2 * size - 1, 0))), into=f.cell((-1, 0)))\n\ndef send(rig, n):\n    fire(rig.into, n)\n\ndef read(rig):\n    return rig.out.width\n\nrow = struct(name=\"row of gates\", build=build, send=send, read=read, over=[2, 5], pitch=(2, 0, 0))\nr = expandable(row)\nexpect_equal(r.verdict, \"any size\")\nprint(r)",
		See:     []string{"recovery", "compare", "datasheet"}, call: expandable}}
}

func expandable(c *Call) (starlark.Value, error) {
	m := c.machine(0)
	upto, least := c.Small(1, 64, 1), c.Small(3, 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	if !m.sized && m.slice == nil {
		return nil, c.Fail("the build of %s takes no size, and no slice is named; want build(frame, size), which places so many slices, or slice=", m.name)
	}
	m.chained = !m.sized
	if m.pitch == (engine.Cell{}) {
		return nil, c.Fail("the design %s does not say by how much a slice repeats; give it pitch=(x, y, z)", m.name)
	}
	defer c.Env.fence(m.functions()...)()
	x := &expansion{bay: c.bay(m), fixed: c.Has(2), slicer: slicer{m.pitch}}
	defer x.close()
	if x.fixed {
		x.given = x.values(2, least)
		if c.Err != nil {
			return nil, c.Err
		}
	}
	if err := x.try(least, max(upto, least)); err != nil {
		return nil, c.Wrap(err)
	}
	return x.report(), nil
}

// expansion is a machine tried at growing sizes.
type expansion struct {
	*bay
	slicer
	fixed bool
	given []starlark.Value

	least, tested int              // all sizes from least to tested were run
	far           []int            // sizes run beyond
	shownFrom     int              // what the argument shows works from this size on; 0: it shows nothing
	overlap, near int              // slices that repeat, and over how many slices parts touch each other
	why           string           // why it shows nothing
	looked        int              // the size at which near was last looked for
	crosses       int              // a size at which events change places
	runs          map[int][]oneRun // by size, one a number: the last three
	fails         int              // a size that fails; 0: none was found
	number        starlark.Value
	got           string
	breaks        string
	slice         int // the first slice that does not do what it does in a machine one smaller; -1: not known
}

type oneRun struct {
	n starlark.Value
	*ledger
	bad  string        // why there is no ledger
	got  string        // what is read instead of n; "" if n is read
	rest *engine.Bench // as it was before
}

func (x *expansion) numbersOf(size int) ([]starlark.Value, error) {
	if x.fixed {
		return x.given, nil
	}
	return x.numbers(size)
}

// try runs size after size, until it fails, or what is shown holds for all larger ones, or upto is reached.
func (x *expansion) try(least, upto int) error {
	x.least, x.slice, x.runs = least, -1, map[int][]oneRun{}
	// Where events change places the slices do not repeat for a while, about as long as at the beginning.
	const what = "expandable: sizes"
	defer x.env.progress(what, 1, 1)
	for size := least; ; size++ {
		end := max(upto, min(x.past(), everySize))
		if size > end {
			break
		}
		x.env.progress(what, int64(size-least), int64(end-least+2))
		ok, err := x.size(size)
		if err != nil {
			return err
		}
		if !ok {
			return x.diagnose(size)
		}
		x.tested = size
		if size >= least+2 && x.show(size) {
			// What was shown is put to the test once, far out.
			if ok, err = x.beyond(2 * size); err != nil || !ok {
				x.shownFrom = 0
			}
			return err
		}
		delete(x.runs, size-2)
	}
	// Farther out, only where events change places: there, and for as long as that points on.
	for range 16 {
		at := x.crosses
		if at <= x.tested || at > farthest {
			break
		}
		for size := at; size <= at+2; size++ {
			if ok, err := x.beyond(size); err != nil || !ok {
				return err
			}
		}
		if x.show(at + 2) {
			x.shownFrom, x.why = 0, fmt.Sprintf("from size %d on it is shown to go on for ever, but not all sizes between %d and that were run", at, x.tested)
			break
		}
	}
	return nil
}

// past is a size by which what happens where events change places is over.
func (x *expansion) past() int {
	if x.crosses == 0 {
		return 0
	}
	return x.crosses + 8*x.near + 16
}

// How far sizes beyond those asked for are tried: every one, and some.
const (
	everySize = 256
	farthest  = 4096
)

// beyond runs one size larger than those run so far. If it fails, the smallest that does is looked for between.
func (x *expansion) beyond(size int) (bool, error) {
	ok, err := x.size(size)
	if err != nil {
		return false, err
	}
	x.far = append(x.far, size)
	if ok {
		return true, nil
	}
	good, bad := x.tested, size
	for _, s := range x.far {
		if s < size {
			good = max(good, s)
		}
	}
	for bad-good > 1 {
		mid := (good + bad) / 2
		if ok, err = x.size(mid); err != nil {
			return false, err
		}
		if ok {
			good = mid
		} else {
			bad = mid
		}
		x.far = append(x.far, mid)
	}
	if _, err = x.size(bad); err != nil {
		return false, err
	}
	return false, x.diagnose(bad)
}

// size runs every number at one size and reports whether all were read right.
func (x *expansion) size(size int) (bool, error) {
	numbers, err := x.numbersOf(size)
	if err != nil {
		return false, err
	}
	if len(numbers) == 0 {
		return false, fmt.Errorf("the design %s names no numbers to send at size %d; give some with over=", x.name, size)
	}
	ran := make([]oneRun, len(numbers))
	var bad *oneRun
	x.runs[size] = nil
	err = x.each("", len(numbers), func(r *runner, i int) (err error) {
		ran[i], err = x.run(r, size, numbers[i])
		return err
	}, func(i int) (bool, error) {
		r := ran[i]
		x.trials++
		if x.looked != size && r.ledger != nil && len(r.slices) > 0 {
			// Seen from the middle, where a larger machine has its new slices.
			x.looked = size
			x.near = max(1, x.near, x.slicer.near(r.rest, r.first+len(r.slices)/2))
		}
		ran[i].rest = nil
		x.runs[size] = append(x.runs[size], ran[i])
		if r.got != "" {
			bad = &ran[i]
		}
		return bad == nil, nil
	})
	if err != nil || bad == nil {
		return err == nil, err
	}
	x.number, x.got = bad.n, bad.got
	return false, nil
}

// run sends one number at one size.
func (x *expansion) run(r *runner, size int, n starlark.Value) (run oneRun, err error) {
	run.n = n
	t, err := x.pose(r, size)
	if err != nil {
		return run, err
	}
	t.dirty = true
	b := t.bench
	b.Record(engine.RecordAll)
	b.ForgetEvents()
	run.rest = b.Snapshot().Bench()
	if err := t.start(n); err != nil {
		return run, err
	}
	if err := t.quiet(); err != nil {
		if stopped := t.env.stopped(); stopped != nil {
			return run, stopped
		}
		run.got = "nothing: " + err.Error()
	}
	if run.ledger, err = x.ledger(size, run.rest, b); err != nil {
		run.bad = err.Error()
	}
	if run.got == "" {
		var ok bool
		if run.got, ok, err = t.says(n); ok {
			run.got = ""
		}
	}
	return run, err
}

// show applies the argument of induction.go to the last three sizes.
func (x *expansion) show(size int) bool {
	a, b, c := x.runs[size-2], x.runs[size-1], x.runs[size]
	for _, runs := range [][]oneRun{a, b, c} {
		for _, r := range runs {
			if r.ledger == nil {
				x.why = r.bad
				return false
			}
		}
	}
	find := func(runs []oneRun, n starlark.Value) int {
		for i, r := range runs {
			if same, err := starlark.Equal(r.n, n); err == nil && same {
				return i
			}
		}
		return -1
	}
	more := len(b) - len(a) // numbers that a size more brings
	next := func(n starlark.Value) starlark.Value {
		if i, ok := n.(starlark.Int); ok {
			return i.Add(starlark.MakeInt(more))
		}
		return n
	}
	growing := x.overOf != nil && !x.fixed && more > 0
	var stays, grows []bool
	x.overlap = 1 << 30
	for _, r := range a {
		how := [2]bool{}
		why := "its number is not sent at every size"
		for move := range how {
			n1, n2 := r.n, r.n
			if move == 1 {
				if !growing {
					break
				}
				n1 = next(r.n)
				n2 = next(n1)
			}
			i, k := find(b, n1), find(c, n2)
			if i < 0 || k < 0 {
				continue
			}
			w, overlap, crosses := endless(r.ledger, b[i].ledger, c[k].ledger, x.near)
			if w == "" {
				how[move] = true
				x.overlap = min(x.overlap, overlap)
				continue
			}
			why = w
			if crosses > 0 {
				x.crosses = crosses
				x.why = fmt.Sprintf("number %s: %s at size %d", show(r.n), w, crosses)
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
	x.crosses, x.why, x.shownFrom = 0, "", size-2
	return true
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

// diagnose finds what was short at a size that fails: the rule which, if it were more, would let it pass.
func (x *expansion) diagnose(size int) error {
	x.fails, x.shownFrom = size, 0
	if runs, before := x.runs[size], x.runs[size-1]; len(runs) > 0 && len(before) >= len(runs) {
		a, b := before[len(runs)-1].ledger, runs[len(runs)-1].ledger
		if a != nil && b != nil {
			for x.slice = 0; x.slice < len(a.slices) && x.slice < len(b.slices) && a.slices[x.slice].alike(&b.slices[x.slice]); {
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
		x.trials++
		run, err := x.run(x.one(), size, x.number)
		if stopped := x.c.Env.stopped(); stopped != nil {
			return stopped
		}
		if err == nil && run.got == "" {
			x.breaks = longer.name
			return nil
		}
	}
	return nil
}

func (x *expansion) report() *Report {
	var s strings.Builder
	f := starlark.StringDict{
		"design": starlark.String(x.name), "verdict": starlark.String("tested"), "shown_from": starlark.None, "tested": starlark.MakeInt(x.tested),
		"fails": starlark.None, "number": starlark.None, "got": starlark.None, "breaks": starlark.None, "why": starlark.None,
		"slices": starlark.None, "near": starlark.MakeInt(x.near), "trials": starlark.MakeInt64(x.trials), "crosses": starlark.None, "beyond": starlark.None,
	}
	for _, size := range x.far {
		if size != x.fails {
			f["beyond"] = starlark.MakeInt(size)
		}
	}
	ran := fmt.Sprintf("all sizes from %d to %d", x.least, x.tested)
	if x.tested < x.least {
		ran = "no size"
	}
	switch {
	case x.fails > 0:
		f["verdict"], f["fails"], f["number"], f["got"] = starlark.String("fails"), starlark.MakeInt(x.fails), x.number, starlark.String(x.got)
		fmt.Fprintf(&s, "verdict    fails at size %d: number %s is read as %s", x.fails, show(x.number), x.got)
		if x.breaks != "" {
			f["breaks"] = starlark.String(x.breaks)
			now := x.Rules.Reach
			if x.breaks == "run" {
				now = x.Rules.Run
			}
			fmt.Fprintf(&s, "\nbreaks     the %s, %d: with a longer one it reads right", x.breaks, now)
		} else {
			s.WriteString("\nbreaks     neither reach nor run: with more of either it fails as well")
		}
		if x.slice >= 0 {
			fmt.Fprintf(&s, "\nfirst      slice %d is the first that does not do what it does in a machine one smaller", x.slice+1)
		}
	case x.shownFrom > 0:
		f["verdict"], f["shown_from"], f["slices"] = starlark.String("any size"), starlark.MakeInt(x.shownFrom), starlark.MakeInt(x.overlap)
		fmt.Fprintf(&s, "verdict    works at any size, for the numbers tried: shown by induction from size %d on", x.shownFrom)
		fmt.Fprintf(&s, "\nrepeats    at least %s, which do the same a constant time apart; parts touch each other over %s, for which %d are needed", count(x.overlap, "slice"), count(x.near, "slice"), 2*x.near+1)
	default:
		fmt.Fprintf(&s, "verdict    tested only: read right at %s", ran)
	}
	if x.crosses > 0 {
		f["crosses"] = starlark.MakeInt(x.crosses)
	}
	if x.why != "" && x.shownFrom == 0 {
		f["why"] = starlark.String(x.why)
		fmt.Fprintf(&s, "\nnot shown  %s", x.why)
	}
	fmt.Fprintf(&s, "\nran        %s", ran)
	if len(x.far) > 0 {
		fmt.Fprintf(&s, ", and beyond: %s", strings.Trim(fmt.Sprint(x.far), "[]"))
	}
	fmt.Fprintf(&s, "; %s", count(int(x.trials), "trial"))
	f.Freeze()
	return &Report{"expandable", s.String(), f}
}
