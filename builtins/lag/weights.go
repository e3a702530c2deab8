package lag

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/say"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// counts are what is counted, in the order shown.
var counts = []struct {
	name string
	one  string // what one of it is
	of   func(engine.Counters) int64
}{
	{"news", "delivery", func(c engine.Counters) int64 { return c.News }},
	{"levels", "level change", func(c engine.Counters) int64 { return c.Levels }},
	{"acts", "act", func(c engine.Counters) int64 { return c.Acts }},
	{"lapses", "lapse", func(c engine.Counters) int64 { return c.Lapses }},
	{"reeds", "reed flip", func(c engine.Counters) int64 { return c.Reeds }},
	{"timers", "timer", func(c engine.Counters) int64 { return c.Timers }},
	{"turns", "turn", func(c engine.Counters) int64 { return c.Turns }},
}

// names are those of the counts, in the order shown.
func names() (all []string) {
	for _, c := range counts {
		all = append(all, c.name)
	}
	return all
}

// numbered is the number of a count by its name, -1 if there is none.
func numbered(name string) int {
	for i, c := range counts {
		if c.name == name {
			return i
		}
	}
	return -1
}

// Weights are what one of each count weighs, as a user gave it; what has no weight counts for nothing.
type Weights struct {
	which []int // numbers of the counts, in the order given
	of    []*big.Rat
	fit   bool // they are those of lag_fit, which are not sure
}

// Param is the parameter by which a user gives weights.
var Param = builtins.Param{Name: "weights", Type: "a dict, or what lag_fit gives", Default: "None", Optional: true, Keyword: true,
	Doc: "what one of each count weighs, from the counts' names to numbers: dict(levels=1, news=3); any unit, ms say; what is left out weighs nothing; lag_fit finds them from timings, and can be given whole: its weights are taken, not how sure they are"}

// Read reads weights; nil if none are given.
func Read(c *builtins.Call, param string) *Weights {
	if c.Err != nil || !c.Has(param) {
		return nil
	}
	w := &Weights{}
	v := c.Value(param)
	if r, ok := v.(*builtins.Report); ok && r.Name == fitName {
		v, w.fit = r.Fields["weights"], true
	}
	d, ok := v.(*starlark.Dict)
	if !ok {
		c.Bad(param, builtins.Show(v), "a dict from counts to what one of each weighs, of "+strings.Join(names(), " "))
		return nil
	}
	some := false
	for _, kv := range d.Items() {
		name := builtins.Text(kv[0])
		i := numbered(name)
		if _, text := kv[0].(starlark.String); !text || i < 0 {
			c.Fail("for parameter %s: no count %s, want one of %s%s", param, builtins.Show(kv[0]), strings.Join(names(), " "), say.DidYouMean(name, names()))
			return nil
		}
		r := exact(kv[1])
		if r == nil || r.Sign() < 0 {
			c.Fail("for parameter %s: %s weigh %s, want a number of at least 0", param, name, builtins.Show(kv[1]))
			return nil
		}
		some = some || r.Sign() > 0
		w.which, w.of = append(w.which, i), append(w.of, r)
	}
	if !some {
		c.Bad(param, "weights that are all zero", "at least one above 0")
		return nil
	}
	return w
}

// exact is a number as a script writes it: 0.1 is a tenth. nil if it is no number, or none that is finite.
func exact(v starlark.Value) *big.Rat {
	switch v := v.(type) {
	case starlark.Int:
		return new(big.Rat).SetInt(v.BigInt())
	case starlark.Float:
		if r, ok := new(big.Rat).SetString(strconv.FormatFloat(float64(v), 'g', -1, 64)); ok {
			return r
		}
	}
	return nil
}

// Of is what counters weigh.
func (w *Weights) Of(c engine.Counters) *big.Rat {
	sum := new(big.Rat)
	for k, i := range w.which {
		sum.Add(sum, new(big.Rat).Mul(w.of[k], big.NewRat(counts[i].of(c), 1)))
	}
	return sum
}

// By says whose weights they are.
func (w *Weights) By() string {
	if w.fit {
		return "as lag_fit found them; how sure they are is not in this"
	}
	return "as you gave them"
}

// String says what each weighs: "1 a level change, 3 a delivery".
func (w *Weights) String() string {
	var says []string
	for k, i := range w.which {
		says = append(says, fmt.Sprintf("%s %s", Number(w.of[k]), say.Article(counts[i].one)))
	}
	return strings.Join(says, ", ")
}

func (w *Weights) dict() *starlark.Dict { return w.dictOf(w.of) }

// dictOf is a dict from the counts to numbers.
func (w *Weights) dictOf(of []*big.Rat) *starlark.Dict {
	d := starlark.NewDict(len(of))
	for k, i := range w.which {
		d.SetKey(starlark.String(counts[i].name), Value(of[k]))
	}
	return d
}

// Number writes a fraction for people: as a decimal where that is exact and short, else as a fraction if that is short, else to six places.
func Number(r *big.Rat) string {
	if places, ok := r.FloatPrec(); ok && places <= 4 {
		return r.FloatString(places)
	}
	if r.Num().BitLen() <= 10 && r.Denom().BitLen() <= 10 {
		return r.RatString()
	}
	return "about " + about(r)
}

// about writes a number to six places that count.
func about(r *big.Rat) string {
	f, _ := r.Float64()
	return strconv.FormatFloat(f, 'g', 6, 64)
}

// Value is a fraction for scripts: whole if it is.
func Value(r *big.Rat) starlark.Value {
	if r.IsInt() {
		return starlark.MakeBigInt(r.Num())
	}
	f, _ := r.Float64()
	return starlark.Float(f)
}
