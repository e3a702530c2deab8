package measure

import (
	"pulsewright/builtins"
	"pulsewright/builtins/lag"
	"pulsewright/builtins/say"
	"pulsewright/builtins/trial"

	"fmt"
	"math/big"
	"slices"
	"strconv"

	"go.starlark.net/starlark"
)

// growthSizes are the sizes from which laws of growth are found and at which they are checked: all of the small ones, so that what
// comes with every second or every tenth slice shows, and some far out, where what begins late shows.
var growthSizes = append(upTo(24), 37, 48, 61)

func upTo(n int64) (xs []int64) {
	for x := range n {
		xs = append(xs, x+1)
	}
	return xs
}

// atSize is a design at one size.
type atSize struct {
	built, right      bool // right: the number was read
	parts, conductors int64
	news, levels      int64 // of a transmission
}

// series is a design at all sizes of growthSizes.
type series struct {
	n    starlark.Value // what is sent
	at   []atSize
	fail string // why the smallest size that cannot be built cannot; "" if all can
}

// grow builds a design at growing sizes and sends a number at each.
func growOf(l *trial.Bay, n starlark.Value) (*series, error) {
	m := *l.Design
	m.Chained = !m.Sized
	g := l.Of(&m)
	s := &series{n: n, at: make([]atSize, len(growthSizes))}
	fails := make([]string, len(growthSizes))
	err := l.Each("growth: sizes", len(growthSizes), func(r *trial.Runner, i int) error {
		// The largest first: they take longest.
		i = len(growthSizes) - 1 - i
		size := int(growthSizes[i])
		t, err := g.Pose(r, size)
		if err != nil {
			fails[i] = builtins.Message(err)
			return l.C.Env.Stopped()
		}
		k := lag.CostOf(t.Bench)
		s.at[i] = atSize{built: true, parts: int64(k.Parts), conductors: int64(k.Conductors)}
		sent, err := costs(g, r, n, size)
		s.at[i].right, s.at[i].news, s.at[i].levels = sent.right, sent.spent.News, sent.spent.Levels
		return err
	}, nil)
	for i := range fails {
		if fails[i] != "" && s.fail == "" {
			s.fail = fmt.Sprintf("size %d: %s", growthSizes[i], say.Clean(fails[i]))
		}
	}
	return s, err
}

// points are the sizes at which something is known, and what it is there.
func (s *series) points(known func(atSize) bool, of func(atSize) int64) (xs, ys []int64) {
	for i, g := range s.at {
		if known(g) {
			xs, ys = append(xs, growthSizes[i]), append(ys, of(g))
		}
	}
	return xs, ys
}

func wasBuilt(g atSize) bool  { return g.built }
func readRight(g atSize) bool { return g.right }

// figures are the laws of growth.
func (s *series) figures() []figure {
	sent := "; of number " + builtins.Show(s.n)
	return []figure{
		s.law("growth of parts", wasBuilt, func(g atSize) int64 { return g.parts }, ""),
		s.law("growth of news", readRight, func(g atSize) int64 { return g.news }, sent),
		s.law("growth of level changes", readRight, func(g atSize) int64 { return g.levels }, sent),
	}
}

// law is the law of one figure, or what speaks against one.
func (s *series) law(name string, known func(atSize) bool, of func(atSize) int64, sent string) figure {
	f := figure{name: name, better: -1, bare: true}
	xs, ys := s.points(known, of)
	f.basis.sizes = "sizes " + say.Ranges(xs)
	if sent != "" {
		f.basis.numbers = listed([]starlark.Value{s.n})
	}
	where := fmt.Sprintf("at sizes N = %s%s", say.Ranges(xs), sent)
	if len(xs) < len(growthSizes) {
		where += fmt.Sprintf(", those of %s that %s", say.Ranges(growthSizes), map[bool]string{true: "can be built", false: "read right"}[sent == ""])
		if s.fail != "" {
			where += " (" + s.fail + ")"
		}
	}
	l, ok := findLaw(xs, ys)
	switch {
	case !ok && len(xs) < 1+leastProof:
		f.how = "too few sizes for a law: " + where
		return f
	case !ok:
		f.value, f.better, f.told = "no law found", 0, true
		f.unranked = "not all have a law"
		f.how = "no law up to the square, nor one of a period up to " + strconv.Itoa(longestPeriod) + ", gives all that was measured " + where + "; " + nearLaw(xs, ys)
		return f
	case l.period > 1:
		f.value, f.told = fmt.Sprintf("no single law; period %d", l.period), true
		f.how = l.String() + "; exact " + where
	default:
		f.value = [...]string{"constant: ", "linear: ", "quadratic: "}[len(l.coef[0])-1] + l.String()
		f.how = "the simplest law, exact " + where
	}
	if l.start > xs[0] {
		f.value += fmt.Sprintf(" from size %d on", l.start)
		f.how += fmt.Sprintf("; before size %d it is other", l.start)
	}
	if last := xs[len(xs)-1]; last != growthSizes[len(growthSizes)-1] {
		f.value += fmt.Sprintf(", to size %d", last)
	}
	f.number, f.law = farOut(l), f.basis.sizes
	return f
}

// farOut is what a law gives far out, where laws are compared.
func farOut(l law) int64 {
	v := l.at(1_000_000)
	return new(big.Int).Quo(v.Num(), v.Denom()).Int64()
}

// nearLaw says which straight line goes through most points in a row, and where it fails.
func nearLaw(xs, ys []int64) string {
	var best []*big.Rat
	from, to := 0, 0
	for i := 0; i+1 < len(xs); i++ {
		line := through(xs[i:i+2], ys[i:i+2])
		k := i + 1
		for k+1 < len(xs) && at2(line, xs[k+1]).Cmp(new(big.Rat).SetInt64(ys[k+1])) == 0 {
			k++
		}
		if k-i > to-from {
			best, from, to = line, i, k
		}
	}
	says := fmt.Sprintf("%s is right from size %d to %d", polynomial(best), xs[from], xs[to])
	off := func(i int) {
		says += fmt.Sprintf("; at size %d it says %s, measured %d", xs[i], at2(best, xs[i]).RatString(), ys[i])
	}
	if from > 0 {
		off(from - 1)
	}
	if to+1 < len(xs) {
		off(to + 1)
	}
	return says
}

// slices are the figures of one slice: what a size more brings, if that is always the same.
func (s *series) slices(alone *lag.Cost) []figure {
	one := func(name string, of func(atSize) int64, count int, what string) figure {
		f := figure{name: name, better: -1}
		xs, ys := s.points(wasBuilt, of)
		if l, ok := findLaw(xs, ys); ok && l.period == 1 && l.start == xs[0] && len(l.coef[0]) < 3 {
			each := new(big.Rat)
			if len(l.coef[0]) == 2 {
				each = l.coef[0][1]
			}
			if each.IsInt() {
				f.number, f.law = each.Num().Int64(), "sizes "+say.Ranges(xs)
				f.value = fmt.Sprint(f.number)
				f.how = fmt.Sprintf("what every size more brings, the same at sizes %s%s", say.Ranges(xs), what)
				if alone != nil && int64(count) != f.number {
					f.how += fmt.Sprintf("; a slice placed alone has %d", count)
				}
				return f
			}
		}
		f.better, f.bare, f.told, f.unranked = 0, true, true, "not all have slices that are all alike"
		var more []int64
		for i := 1; i < len(xs); i++ {
			if xs[i] == xs[i-1]+1 {
				more = append(more, ys[i]-ys[i-1])
			}
		}
		if len(more) == 0 {
			f.how = "too few sizes can be built: " + s.fail
			return f
		}
		slices.Sort(more)
		more = slices.Compact(more)
		f.value = fmt.Sprintf("%d to %d", more[0], more[len(more)-1])
		if len(more) == 1 {
			f.value = fmt.Sprintf("%d, not at all sizes", more[0])
		}
		f.how = fmt.Sprintf("what a size more brings; it is not the same at all of the sizes %s%s", say.Ranges(xs), what)
		return f
	}
	parts, conductors := 0, 0
	if alone != nil {
		parts, conductors = alone.Parts, alone.Conductors
	}
	return []figure{
		one("parts a slice", func(g atSize) int64 { return g.parts }, parts, ""),
		one("conductors a slice", func(g atSize) int64 { return g.conductors }, conductors, "; wires and jacks"),
	}
}
