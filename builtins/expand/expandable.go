package expand

import (
	"fmt"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

func expandableWords() []builtins.Entry {
	return []builtins.Entry{{Name: "expandable", Topic: "experiments", Sentence: "Tries a design at growing sizes until its slices repeat, and says what that shows: that it works at any size, or only up to some; and what breaks first.",
		Params: []builtins.Param{
			{Name: "design", Type: "a design", Doc: "with pitch=, the offset from one slice to the next; its build takes a size, build(frame, size), with a default or without, and its over may be a function from the size to the numbers; or it has slice=: then a chain of these, fired at the input of the first and read at the output of the last"},
			{Name: "upto", Type: "number", Default: "64", Optional: true, Doc: "try all sizes up to this, and larger ones if needed; all are built to see that they go on alike, and one much larger, in which a longer period shows"},
			{Name: "over", Type: "a list of numbers", Default: "None", Optional: true, Keyword: true, Doc: "the numbers to send; None: those of the design"},
			{Name: "least", Type: "number", Default: "1", Optional: true, Keyword: true, Doc: "the smallest size"}},
		Returns: "a report with .verdict (\"any size\", \"tested\" or \"fails\"), .shown_from, .tested (the largest size up to which all were run), .partly (the largest of those after it that were run with the numbers not shown before, or None), .fails (a size, or None), .number .got .breaks (what was short: \"reach\", \"run\" or None), .why (what keeps it from being shown), .assumes (what is taken for granted where it is), .period (after how many sizes it repeats, None if it does not) .period_slices .ends (how many slices at either end do not repeat) .drift (by how much what is read drifts apart with each period, or None) .built (the size up to which all were built) .slices .trials",
		Example: "def build(f, size):\n    for k in range(size):\n        f.gate((2 * k, 0), \"+x\", \"buf\", pads=[(-1, 0, 0)])\n        f.wire((2 * k + 1, 0))\n    return struct(out=probe(f.part((2 * size - 1, 0))), into=f.cell((-1, 0)))\n\ndef send(rig, n):\n    fire(rig.into, n)\n\ndef read(rig):\n    return rig.out.width\n\nrow = struct(name=\"row of gates\", build=build, send=send, read=read, over=[2, 5], pitch=(2, 0, 0))\nr = expandable(row)\nexpect_equal(r.verdict, \"any size\")\nprint(r)",
		See:     []string{"recovery", "compare", "datasheet"}, Call: expandable}}
}

func expandable(c *builtins.Call) (starlark.Value, error) {
	m := trial.DesignArg(c, "design")
	upto, least := c.Small("upto", 64, 1), c.Small("least", 1, 1)
	if c.Err != nil {
		return nil, c.Err
	}
	if !m.Sized && m.Slice == nil {
		return nil, c.Fail("the build of %s takes no size, and no slice is named; want build(frame, size), which places so many slices, or slice=", m.Name)
	}
	m.Chained = !m.Sized
	if m.Pitch == (engine.Cell{}) {
		return nil, c.Fail("the design %s does not say by how much a slice repeats; give it pitch=(x, y, z)", m.Name)
	}
	defer trial.FenceIn(c.Env, m.Functions()...)()
	x := &expansion{Bay: trial.NewBay(c, m), fixed: c.Has("over"), slicer: slicer{m.Pitch}}
	defer x.Close()
	if x.fixed {
		x.given = x.Values(x.C, "over", least)
		if c.Err != nil {
			return nil, c.Err
		}
	}
	if err := x.try(least, max(upto, least)); err != nil {
		return nil, c.Wrap(err)
	}
	return x.report(), nil
}

// Try tries a design that says by how much a slice repeats at all sizes up to one, and at larger ones if needed; it tells what that shows.
func Try(l *trial.Bay, upto int) (*builtins.Report, error) {
	chain := *l.Design
	chain.Chained = !l.Sized
	x := &expansion{Bay: l.Of(&chain), slicer: slicer{l.Pitch}}
	if err := x.try(1, upto); err != nil {
		return nil, err
	}
	return x.report(), nil
}

// expansion is a machine tried at growing sizes.
type expansion struct {
	*trial.Bay
	slicer
	period
	numberClasses
	differing
	fixed bool
	given []starlark.Value

	plans         map[int]*plan // by size
	runs          map[int][]oneRun
	least, tested int    // all sizes from least to tested were run
	partly        int    // and up to this one, with the numbers that were not shown yet; 0: none were
	beyonds       []int  // sizes run beyond
	ends          int    // the size run with its first and last number only; 0: none was
	shownFrom     int    // what the argument shows works from this size on; 0: it shows nothing
	overlap, near int    // slices that repeat, and over how many slices parts touch each other
	why           string // why it shows nothing
	drifts        when   // by how much what read looks at drifts with each period
	crosses       int    // a size at which events change places
	fails         int    // a size that fails; 0: none was found
	number        starlark.Value
	got           string
	breaks        string
	oddOne        oddSlice
}

// nothingIs begins what is read where the machine does not come to rest.
const nothingIs = "nothing: "

type oneRun struct {
	n   starlark.Value
	nth int // its place among the numbers of the size
	*ledger
	bad   string // why there is no ledger
	got   string // what is read instead of n; "" if n is read
	ports []port // what read looked at
	asks  string // what send or read asked for that may go by the size
}

func (x *expansion) numbersOf(size int) ([]starlark.Value, error) {
	if x.fixed {
		return x.given, nil
	}
	return x.NumbersOf(x.C.Thread, size)
}

// try runs size after size, until it fails, or what is shown holds for all larger ones, or upto is reached.
func (x *expansion) try(least, upto int) error {
	x.least, x.plans, x.runs = least, map[int]*plan{}, map[int][]oneRun{}
	if err := x.find(least, upto); err != nil {
		return err
	}
	const what = "expandable: sizes"
	defer x.Env.Tell(what, 1, 1)
	p := x.sizes
	for size := least; ; size++ {
		// A long period takes some of them; and where events change places the slices do not repeat for a while, about as long as at the beginning.
		end := max(upto, x.built, min(x.past(), everySize))
		if p > 1 && x.crosses == 0 && x.drifts == (when{}) {
			end = max(end, min(longPeriods*p, everySize))
		}
		if size > end {
			break
		}
		x.Env.Tell(what, int64(size-least), int64(end-least+2))
		whole, ok, err := x.size(size, p > 0)
		if err != nil {
			return err
		}
		if !ok {
			return x.diagnose(size)
		}
		if !whole {
			x.partly = size
		} else {
			x.tested = size
		}
		if p == 0 || size < x.from+2*p {
			continue
		}
		if all, _, err := x.show(size); err != nil {
			return err
		} else if all {
			return x.confirm(size)
		}
		if x.partly > 0 && x.classes == nil { // what was left out is shown no more
			return nil
		}
		delete(x.runs, size-2*p)
	}
	return x.outlying()
}

// confirm puts to the test, far out, what was shown.
func (x *expansion) confirm(size int) error {
	x.shownFrom, x.why, x.overlap = x.least, "", 1<<30
	for _, cl := range x.classes {
		x.shownFrom, x.overlap = max(x.shownFrom, cl.from), min(x.overlap, cl.overlap)
	}
	if why, err := x.goesBySize(size); err != nil || why != "" {
		x.shownFrom, x.why = 0, why
		return err
	}
	if x.largest != "" {
		x.shownFrom, x.why = 0, "it cannot be built at any size: "+x.largest
		return nil
	}
	if ok, err := x.beyond(2*x.tested, false); err != nil || !ok {
		x.shownFrom = 0
		return err
	}
	if x.far == 0 {
		return nil
	}
	near := size - ((size-x.far)%x.sizes+x.sizes)%x.sizes
	small, err := x.numbersOf(near)
	if err != nil {
		return err
	}
	numbers, err := x.numbersOf(x.far)
	if err == nil && !x.goOnTo(small, numbers, (x.far-near)/x.sizes) {
		x.shownFrom, x.why = 0, fmt.Sprintf("the numbers of size %d are not those of smaller sizes and more like them", x.far)
		return nil
	}
	if err == nil && len(numbers) > 2 {
		numbers = []starlark.Value{numbers[0], numbers[len(numbers)-1]}
	}
	ok := true
	if err == nil {
		ok, err = x.sends(x.far, numbers, nil)
	}
	if x.ends = x.far; err == nil && !ok {
		err = x.narrow(x.far)
	}
	if err != nil || !ok {
		x.shownFrom = 0
	}
	return err
}

// outlying runs sizes beyond those that were run one after the other, where something points to them.
func (x *expansion) outlying() error {
	if x.breakAt > x.tested && (!x.OverSize() || x.fixed) {
		// The slice that is odd may come a little later than where it can be seen.
		for _, size := range []int{x.breakAt, x.breakAt + 1, x.breakAt + 2, x.far} {
			if ok, err := x.beyond(size, false); err != nil || !ok {
				return err
			}
		}
	}
	// Where events change places: there, and from there on, for it takes some sizes until all goes on alike.
	next := 0
	for range 16 {
		at, p := max(x.crosses, next), x.sizes
		if x.crosses <= x.tested || at > farthest || p == 0 {
			break
		}
		next = at + 3*p
		for _, size := range []int{at, at + p, at + 2*p} {
			if ok, err := x.beyond(size, true); err != nil || !ok {
				return err
			}
		}
		if _, held, err := x.show(at + 2*p); err != nil {
			return err
		} else if held {
			x.why = fmt.Sprintf("from size %d on it seems to go on for ever, but not all sizes between %d and that were run", at, x.tested)
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
	everySize   = 256
	longPeriods = 10 // so many periods are run if they are long
	farthest    = 4096
)

// beyond runs one size larger than those run so far. If it fails, a smaller one that does is looked for between.
func (x *expansion) beyond(size int, record bool) (bool, error) {
	if p, err := x.plan(size); err != nil || p.failed {
		if err == nil {
			x.why = p.amiss
		}
		return false, err
	}
	x.classes = nil
	_, ok, err := x.size(size, record)
	if err != nil {
		return false, err
	}
	x.beyonds = append(x.beyonds, size)
	if !ok {
		err = x.narrow(size)
	}
	return ok, err
}

// narrow looks for the smallest size that fails, below one that does.
func (x *expansion) narrow(bad int) error {
	good := x.tested
	for _, s := range x.beyonds {
		if s < bad {
			good = max(good, s)
		}
	}
	number, got := x.number, x.got
	for bad-good > 1 {
		mid := (good + bad) / 2
		if p, err := x.plan(mid); err != nil || p.failed {
			if err == nil { // between there are sizes that cannot be built
				break
			}
			return err
		}
		numbers := []starlark.Value{number}
		if x.OverSize() && !x.fixed {
			var err error
			if numbers, err = x.numbersOf(mid); err != nil {
				return err
			}
			numbers = []starlark.Value{numbers[0], numbers[len(numbers)-1]}
		}
		ok, err := x.sends(mid, numbers, nil)
		switch {
		case err != nil:
			return err
		case ok:
			good = mid
		default:
			bad, number, got = mid, x.number, x.got
		}
	}
	x.number, x.got = number, got
	return x.diagnose(bad)
}
