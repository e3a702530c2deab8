package builtins

import (
	"fmt"
	"strings"

	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Cost is what a bench is made of and what its runs have cost.
type Cost struct {
	Kinds      []int // by kind
	Parts      int
	Conductors int // wires and jacks: they dominate the lag of most worlds
	Cords      int
	Lo, Hi     engine.Cell // the box around all parts
	Boxed      bool        // there is a part on the lattice
	Since      bool        // counters count from an earlier cost on
	PeakKnown  bool
	At         int64 // the tick it was taken at
	engine.Counters

	bench *engine.Bench
}

var _ starlark.HasAttrs = (*Cost)(nil)

// CostOf adds up a bench.
func CostOf(b *engine.Bench) *Cost {
	k := &Cost{Kinds: make([]int, len(engine.Kinds())+1), Counters: b.Counters(), PeakKnown: true, Cords: len(b.Cords()),
		At: b.Now().Tick, bench: b}
	for id := range b.Parts() {
		kind := b.KindOf(id)
		k.Parts++
		k.Kinds[kind]++
		if kind == engine.Wire || kind == engine.Jack {
			k.Conductors++
		}
		switch c, onLattice := b.CellOf(id); {
		case !onLattice:
		case !k.Boxed:
			k.Lo, k.Hi, k.Boxed = c, c, true
		default:
			k.Lo = engine.Cell{X: min(k.Lo.X, c.X), Y: min(k.Lo.Y, c.Y), Z: min(k.Lo.Z, c.Z)}
			k.Hi = engine.Cell{X: max(k.Hi.X, c.X), Y: max(k.Hi.Y, c.Y), Z: max(k.Hi.Z, c.Z)}
		}
	}
	return k
}

// since leaves only what was spent after an earlier cost.
func (k *Cost) since(old *Cost) {
	k.Since = true
	k.Counters = k.Counters.Sub(old.Counters)
	// A peak is no sum: it is found tick by tick, where ticks were recorded; what is in none of them is the present one's.
	k.PeakNews, k.PeakKnown = 0, k.News == 0 || k.bench.Recording() == engine.RecordAll
	rest := k.News
	for _, t := range k.bench.TickCosts() {
		if t.Tick > old.At {
			k.PeakNews = max(k.PeakNews, t.News)
			rest -= t.News
		}
	}
	k.PeakNews = max(k.PeakNews, rest)
}

// Size is the box in cells, each way; 0, 0, 0 without parts on the lattice.
func (k *Cost) Size() (x, y, z int) {
	if !k.Boxed {
		return 0, 0, 0
	}
	d := k.Hi.Sub(k.Lo)
	return int(d.X) + 1, int(d.Y) + 1, int(d.Z) + 1
}

func (k *Cost) Type() string          { return "cost" }
func (k *Cost) Freeze()               {}
func (k *Cost) Truth() starlark.Bool  { return starlark.True }
func (k *Cost) Hash() (uint32, error) { return 0, fmt.Errorf("a cost cannot be a key of a dict") }

func (k *Cost) String() string {
	var s strings.Builder
	var kinds []string
	for kind, n := range k.Kinds {
		if n > 0 {
			kinds = append(kinds, fmt.Sprintf("%d %v", n, engine.Kind(kind)))
		}
	}
	of := ""
	if len(kinds) > 0 {
		of = ": " + strings.Join(kinds, ", ")
	}
	x, y, z := k.Size()
	peak := "?"
	if k.PeakKnown {
		peak = fmt.Sprint(k.PeakNews)
	}
	fmt.Fprintf(&s, "parts       %d%s\n", k.Parts, of)
	fmt.Fprintf(&s, "conductors  %d\n", k.Conductors)
	if k.Cords > 0 {
		fmt.Fprintf(&s, "cords       %d\n", k.Cords)
	}
	fmt.Fprintf(&s, "box         %d x %d x %d cells\n", x, y, z)
	since := ""
	if k.Since {
		since = " (since then)"
	}
	fmt.Fprintf(&s, "news        %d, at most %s in one tick%s\n", k.News, peak, since)
	fmt.Fprintf(&s, "levels      %d\n", k.Levels)
	fmt.Fprintf(&s, "acts        %d, of which %d lapsed or were blocked\n", k.Acts, k.Lapses)
	fmt.Fprintf(&s, "reeds       %d\n", k.Reeds)
	fmt.Fprintf(&s, "timers      %d\n", k.Timers)
	fmt.Fprintf(&s, "turns       %d", k.Turns)
	return s.String()
}

// AttrNames lists the attributes.
func (k *Cost) AttrNames() []string {
	return []string{"acts", "box", "conductors", "cords", "kinds", "lapses", "levels", "news", "parts", "peak_news", "reeds", "size", "timers", "turns", "volume"}
}

// Attr reads an attribute.
func (k *Cost) Attr(name string) (starlark.Value, error) {
	x, y, z := k.Size()
	switch name {
	case "parts":
		return starlark.MakeInt(k.Parts), nil
	case "conductors":
		return starlark.MakeInt(k.Conductors), nil
	case "cords":
		return starlark.MakeInt(k.Cords), nil
	case "kinds":
		d := starlark.NewDict(8)
		for kind, n := range k.Kinds {
			if n > 0 {
				if err := d.SetKey(starlark.String(engine.Kind(kind).String()), starlark.MakeInt(n)); err != nil {
					return nil, err
				}
			}
		}
		return d, nil
	case "box":
		if !k.Boxed {
			return starlark.None, nil
		}
		return starlark.Tuple{cellValue(k.Lo), cellValue(k.Hi)}, nil
	case "size":
		return starlark.Tuple{starlark.MakeInt(x), starlark.MakeInt(y), starlark.MakeInt(z)}, nil
	case "volume":
		return starlark.MakeInt(x).Mul(starlark.MakeInt(y)).Mul(starlark.MakeInt(z)), nil
	case "turns":
		return starlark.MakeInt64(k.Turns), nil
	case "news":
		return starlark.MakeInt64(k.News), nil
	case "levels":
		return starlark.MakeInt64(k.Levels), nil
	case "acts":
		return starlark.MakeInt64(k.Acts), nil
	case "lapses":
		return starlark.MakeInt64(k.Lapses), nil
	case "reeds":
		return starlark.MakeInt64(k.Reeds), nil
	case "timers":
		return starlark.MakeInt64(k.Timers), nil
	case "peak_news":
		if !k.PeakKnown {
			return starlark.None, nil
		}
		return starlark.MakeInt64(k.PeakNews), nil
	}
	return nil, nil
}

func costWords() []Entry {
	return []Entry{{Name: "cost", Topic: "seeing", Sentence: "Adds up what the bench is made of and what its runs have cost: news, levels changed, acts, reeds, timers, turns.",
		Params:  []Param{{Name: "since", Type: "an earlier cost", Default: "None", Optional: true, Doc: "counts only what was spent after that one was taken"}},
		Returns: "a cost with .parts .kinds .conductors .cords .box .size .volume .news .peak_news .levels .acts .lapses .reeds .timers .turns",
		Example: "w = wire((0, 0), (9, 0))\nbefore = cost()\nfire((0, 0))\nrun()\nexpect_equal(cost(since=before).levels, 20)\nexpect_equal(cost().size, (10, 1, 1))",
		See:     []string{"parts", "record"}, call: showCost}}
}

func showCost(c *Call) (starlark.Value, error) {
	k := CostOf(c.Env.Bench)
	if c.Has(0) {
		old, ok := c.vals[0].(*Cost)
		if !ok {
			return nil, c.Bad(0, show(c.vals[0]), "a cost that cost() gave earlier")
		}
		if old.Since || old.bench != c.Env.Bench || old.Turns > k.Turns {
			return nil, c.Bad(0, "a cost that this one does not continue", "one that cost() gave earlier on this bench")
		}
		k.since(old)
	}
	return k, nil
}
