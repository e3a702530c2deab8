package lag

import (
	"fmt"
	"math/big"
	"slices"
	"sort"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// Cost is what a bench is made of and what its runs have cost.
type Cost struct {
	Kinds      []KindCount // in the order of the engine's; then those of a script's own, in the order in which they were placed first
	Parts      int
	Conductors int // wires and jacks: they dominate the lag of most worlds
	Cords      int
	Lo, Hi     engine.Cell // the box around all parts
	Boxed      bool        // there is a part on the lattice
	Since      bool        // counters count from an earlier cost on
	PeakKnown  bool
	At         int64 // the tick it was taken at
	engine.Counters

	Run   *engine.Counters  // spent since something was last placed or given; nil: not known
	Ticks []engine.TickCost // of each tick that is over and was recorded

	bench   *engine.Bench
	weights *Weights // given by the user; nil: none
}

var _ starlark.HasAttrs = (*Cost)(nil)

// CostOf adds up a bench.
func CostOf(b *engine.Bench) *Cost {
	k := &Cost{Counters: b.Counters(), PeakKnown: true, Cords: len(b.Cords()),
		At: b.Now().Tick, Ticks: b.TickCosts(), bench: b}
	if run, ok := b.LastRun(); ok {
		k.Run = &run
	}
	var built [engine.KindCount]int
	own := make([]int, len(b.Specs()))
	for id := range b.Parts() {
		kind := b.KindOf(id)
		k.Parts++
		if spec := b.Spec(id); spec != nil {
			own[slices.Index(b.Specs(), spec)]++
		} else {
			built[kind]++
		}
		if kind.Trait().Conducts {
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
	for kind, n := range built {
		k.count(engine.Kind(kind).String(), n)
	}
	for i, n := range own {
		k.count(b.Specs()[i].Name, n)
	}
	return k
}

// KindCount is how many parts of a kind there are.
type KindCount struct {
	Name string
	N    int
}

func (k *Cost) count(name string, n int) {
	if n == 0 {
		return
	}
	if i := slices.IndexFunc(k.Kinds, func(c KindCount) bool { return c.Name == name }); i >= 0 { // two kinds of one name
		k.Kinds[i].N += n
		return
	}
	k.Kinds = append(k.Kinds, KindCount{name, n})
}

// since leaves only what was spent after an earlier cost.
func (k *Cost) since(old *Cost) {
	k.Since = true
	k.Counters = k.Counters.Sub(old.Counters)
	// A peak is no sum: it is found tick by tick, where ticks were recorded; what is in none of them is the present one's.
	k.PeakNews, k.PeakKnown = 0, k.News == 0 || k.bench.Recording() == engine.RecordAll
	rest := k.News
	from := sort.Search(len(k.Ticks), func(i int) bool { return k.Ticks[i].Tick > old.At })
	k.Ticks = k.Ticks[from:]
	for _, t := range k.Ticks {
		k.PeakNews = max(k.PeakNews, t.News)
		rest -= t.News
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
	for _, c := range k.Kinds {
		kinds = append(kinds, fmt.Sprintf("%d %s", c.N, c.Name))
	}
	of := ""
	if len(kinds) > 0 {
		of = ": " + strings.Join(kinds, ", ")
	}
	x, y, z := k.Size()
	fmt.Fprintf(&s, "parts       %d%s\n", k.Parts, of)
	fmt.Fprintf(&s, "conductors  %d of them: wires and jacks\n", k.Conductors)
	if k.Cords > 0 {
		fmt.Fprintf(&s, "cords       %d\n", k.Cords)
	}
	fmt.Fprintf(&s, "box         %d x %d x %d cells\n", x, y, z)
	if k.weights != nil {
		fmt.Fprintf(&s, "weights     %v: %s\n", k.weights, k.weights.By())
	}
	s.WriteString(k.spent().String())
	return s.String()
}

// spent is a table of what runs have cost: in all, in the last run, and a tick.
func (k *Cost) spent() *builtins.Table {
	all := "in all"
	if k.Since {
		all = "since then"
	}
	t := &builtins.Table{Head: []string{"", all}, Align: []string{"left"}}
	last := k.Run != nil && !k.Since
	if last {
		t.Head = append(t.Head, "last run")
	}
	if len(k.Ticks) > 0 {
		t.Head = append(t.Head, "a tick", "at most", "in tick")
	}
	for _, c := range counts {
		row := []starlark.Value{starlark.String(say.Align(c.name, 10, "left", " ")), starlark.MakeInt64(c.of(k.Counters))}
		if last {
			row = append(row, starlark.MakeInt64(c.of(*k.Run)))
		}
		if n := len(k.Ticks); n > 0 {
			sum, most, at := int64(0), int64(-1), int64(0)
			for _, t := range k.Ticks {
				v := c.of(t.Counters)
				sum += v
				if v > most {
					most, at = v, t.Tick
				}
			}
			row = append(row, starlark.MakeInt64((sum+int64(n)/2)/int64(n)), starlark.MakeInt64(most))
			if most > 0 {
				row = append(row, starlark.MakeInt64(at))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	if k.weights != nil {
		t.Rows = append(t.Rows, k.lagRow(last))
		t.Align = append(t.Align, "right", "right", "right", "right", "right")
	}
	return t
}

// lagRow is the weighted sum of the rows above it.
func (k *Cost) lagRow(last bool) []starlark.Value {
	shown := func(r *big.Rat) starlark.Value { return starlark.String(Number(r)) }
	row := []starlark.Value{starlark.String("lag"), shown(k.weights.Of(k.Counters))}
	if last {
		row = append(row, shown(k.weights.Of(*k.Run)))
	}
	if n := len(k.Ticks); n > 0 {
		sum, most, at := new(big.Rat), new(big.Rat), int64(0)
		for _, t := range k.Ticks {
			v := k.weights.Of(t.Counters)
			sum.Add(sum, v)
			if v.Cmp(most) > 0 {
				most, at = v, t.Tick
			}
		}
		row = append(row, shown(sum.Quo(sum, big.NewRat(int64(n), 1))), shown(most))
		if most.Sign() > 0 {
			row = append(row, starlark.MakeInt64(at))
		}
	}
	return row
}

// peakLag is the most that a tick weighs; nil where ticks went unrecorded, or one is under way.
func (k *Cost) peakLag() *big.Rat {
	rest, most := k.Counters, new(big.Rat)
	for _, t := range k.Ticks {
		rest = rest.Sub(t.Counters)
		if v := k.weights.Of(t.Counters); v.Cmp(most) > 0 {
			most = v
		}
	}
	if rest.PeakNews = 0; rest != (engine.Counters{}) {
		return nil
	}
	return most
}

// countersStruct gives counters to a script.
func (k *Cost) countersStruct(c engine.Counters, more starlark.StringDict) starlark.Value {
	if k.weights != nil {
		more["lag"] = Value(k.weights.Of(c))
	}
	for _, n := range counts {
		more[n.name] = starlark.MakeInt64(n.of(c))
	}
	return builtins.StructOf("cost", more)
}

// AttrNames lists the attributes.
func (k *Cost) AttrNames() []string {
	names := []string{"acts", "box", "conductors", "cords", "counts", "kinds", "lapses", "levels", "news", "parts", "peak_news", "reeds", "run", "size", "ticks", "timers", "turns", "volume"}
	if k.weights != nil {
		names = append(names, "lag", "peak_lag", "weights")
		slices.Sort(names)
	}
	return names
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
		for _, kind := range k.Kinds {
			if err := d.SetKey(starlark.String(kind.Name), starlark.MakeInt(kind.N)); err != nil {
				return nil, err
			}
		}
		return d, nil
	case "box":
		if !k.Boxed {
			return starlark.None, nil
		}
		return starlark.Tuple{builtins.CellValue(k.Lo), builtins.CellValue(k.Hi)}, nil
	case "size":
		return starlark.Tuple{starlark.MakeInt(x), starlark.MakeInt(y), starlark.MakeInt(z)}, nil
	case "volume":
		return starlark.MakeInt(x).Mul(starlark.MakeInt(y)).Mul(starlark.MakeInt(z)), nil
	case "run":
		if k.Run == nil || k.Since {
			return starlark.None, nil
		}
		return k.countersStruct(*k.Run, starlark.StringDict{}), nil
	case "ticks":
		rows := make([]starlark.Value, len(k.Ticks))
		for i, t := range k.Ticks {
			rows[i] = k.countersStruct(t.Counters, starlark.StringDict{"tick": starlark.MakeInt64(t.Tick)})
		}
		return starlark.NewList(rows), nil
	case "peak_news":
		if !k.PeakKnown {
			return starlark.None, nil
		}
		return starlark.MakeInt64(k.PeakNews), nil
	case "counts":
		d := starlark.NewDict(len(counts))
		for _, c := range counts {
			if err := d.SetKey(starlark.String(c.name), starlark.MakeInt64(c.of(k.Counters))); err != nil {
				return nil, err
			}
		}
		return d, nil
	}
	if k.weights != nil {
		switch name {
		case "lag":
			return Value(k.weights.Of(k.Counters)), nil
		case "peak_lag":
			if most := k.peakLag(); most != nil {
				return Value(most), nil
			}
			return starlark.None, nil
		case "weights":
			return k.weights.dict(), nil
		}
	}
	for _, c := range counts {
		if c.name == name {
			return starlark.MakeInt64(c.of(k.Counters)), nil
		}
	}
	return nil, nil
}

func costWords() []builtins.Entry {
	return []builtins.Entry{{Name: "cost", Topic: "seeing", Sentence: "Adds up what the bench is made of and what its runs have cost: news, levels changed, acts, reeds, timers, turns.",
		Params: []builtins.Param{{Name: "since", Type: "an earlier cost", Default: "None", Optional: true, Doc: "counts only what was spent after that one was taken: the cost of one transmission"},
			Param},
		Returns: "a cost with .parts .kinds .conductors .cords .box .size .volume .news .peak_news .levels .acts .lapses .reeds .timers .turns .counts (a dict of these); .run has what the last run spent, .ticks what each tick did (.tick .news and so on); with weights, these and the cost have .lag, and the cost .peak_lag (the most of a tick; None where ticks went unrecorded, or one is under way) and .weights",
		Example: "w = wire((0, 0), (9, 0))\nbefore = cost()\nfire((0, 0))\nrun()\nexpect_equal(cost(since=before).levels, 20)\nexpect_equal(cost().size, (10, 1, 1))\nexpect_equal(cost(since=before, weights=dict(levels=0.5, news=2)).lag, 10)",
		See:     []string{"compare", "lag_fit", "parts", "record"}, Call: showCost}}
}

func showCost(c *builtins.Call) (starlark.Value, error) {
	k := CostOf(c.Env.Bench)
	if c.Has("since") {
		old, ok := c.Value("since").(*Cost)
		if !ok {
			return nil, c.Bad("since", builtins.Show(c.Value("since")), "a cost that cost() gave earlier")
		}
		if old.Since || old.bench != c.Env.Bench || old.Turns > k.Turns {
			return nil, c.Bad("since", "a cost that this one does not continue", "one that cost() gave earlier on this bench")
		}
		k.since(old)
	}
	k.weights = Read(c, "weights")
	return k, c.Err
}
