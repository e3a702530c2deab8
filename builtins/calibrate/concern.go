package calibrate

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/trial"
	"pulsewright/engine"

	"go.starlark.net/starlark"
)

// A calibration for designs asks only what changes what these do: for some of their numbers, what is read, in how many ticks, and with how much
// news. As long as the worlds that are left are many, that is asked of worlds drawn by lot; few are all asked. They are built where the user
// builds, in one orientation: under mixed orders they may do something else elsewhere, which is said (carefree.go).

const (
	drawn      = 60  // worlds that are tried of many
	fewWorlds  = 200 // so many are all tried
	mostTriedN = 5   // numbers of a design that are tried
	sureness   = 0.05
	worthwhile = 0.02 // bits that a rig must tell of what the designs do
)

// concern is what the user cares about.
type concern struct {
	designs []concerned
	at      engine.Cell             // where they are built
	does    map[engine.Rules]string // what they do in a world
	fault   error
}

// concerned is a design with the size and the numbers at which it is tried.
type concerned struct {
	*trial.Design
	size    int
	numbers []starlark.Value
}

// some are the first, the last and some numbers between.
func some(all []starlark.Value) []starlark.Value {
	if len(all) <= mostTriedN {
		return all
	}
	var few []starlark.Value
	for i := range mostTriedN {
		few = append(few, all[i*(len(all)-1)/(mostTriedN-1)])
	}
	return few
}

// ask finds out what the designs do in some worlds.
func (n *concern) ask(e *builtins.Env, ws []engine.Rules) (does []string) {
	var new []engine.Rules
	for _, w := range ws {
		if _, ok := n.does[w]; !ok && !slices.Contains(new, w) {
			new = append(new, w)
		}
	}
	if len(new) > 0 {
		var fns []starlark.Value
		for _, d := range n.designs {
			fns = append(fns, d.Functions()...)
		}
		defer trial.FenceIn(e, fns...)()
		crew := trial.NewCrew(e)
		defer crew.Close()
		texts := make([]string, len(new))
		n.fault = crew.Each("worlds", len(new), func(r *trial.Runner, i int) error {
			var err error
			texts[i], err = n.doings(r, new[i])
			return err
		}, nil)
		if n.fault != nil {
			return make([]string, len(ws))
		}
		for i, w := range new {
			n.does[w] = texts[i]
		}
	}
	for _, w := range ws {
		does = append(does, n.does[w])
	}
	return does
}

// trouble works out the next experiment and says what went wrong in trying the designs.
func (c *Calibration) trouble() error {
	if c.concern == nil {
		return nil
	}
	c.concern.fault = nil
	c.proposal()
	err := c.concern.fault
	if err != nil {
		c.next, c.first = nil, nil
	}
	return err
}

// doings are what the designs do in one world.
func (n *concern) doings(r *trial.Runner, w engine.Rules) (string, error) {
	var text strings.Builder
	for _, d := range n.designs {
		s := trial.PlainSetting(w)
		s.At = n.at
		t, err := r.Rigged(d.Design, s, d.size)
		if r.Env.Stopped() != nil || errors.Is(err, builtins.ErrDeep) {
			return "", err
		}
		if err != nil {
			fmt.Fprintf(&text, "%s cannot be built\n", d.Name)
			continue
		}
		for i, number := range d.numbers {
			before := t.Bench.Counters()
			got, fault, err := t.Once(i, number)
			if err != nil {
				return "", fmt.Errorf("%s: %w", d.Name, err)
			}
			if fault != "" {
				fmt.Fprintf(&text, "%s %v: a fault\n", d.Name, number)
				continue
			}
			fmt.Fprintf(&text, "%s %v: %s, %d ticks, %d news\n", d.Name, number, builtins.Show(got), t.Bench.Now().Tick, t.Bench.Counters().Sub(before).News)
		}
	}
	return text.String(), nil
}

// sample are worlds of a set: all of them if they are few, else so many drawn by lot, always the same.
func (w worlds) sample(n int, seed int64) (ws []engine.Rules, whole bool) {
	total := w.count()
	pick := func(k cluster, order int, value func(number) int) engine.Rules {
		c := w.combos[k.combo]
		c.travel, c.reach, c.run = value(valueOf(w.travel, c.travel)), value(valueOf(w.reach, c.reach)), value(valueOf(w.run, c.run))
		return w.rules(&c, order)
	}
	clusters := 0
	for _, k := range w.at {
		clusters += w.size[k.set]
	}
	if total <= fewWorlds && float64(clusters) == total {
		for _, k := range w.at {
			for i := range w.orders {
				if w.pool[k.set].has(i) {
					ws = append(ws, pick(k, i, func(n number) int { return n.least }))
				}
			}
		}
		return ws, true
	}
	r := rand.New(rand.NewPCG(uint64(seed), uint64(len(w.at))))
	draw := func(k cluster) engine.Rules {
		var orders []int
		for i := range w.orders {
			if w.pool[k.set].has(i) {
				orders = append(orders, i)
			}
		}
		return pick(k, orders[r.IntN(len(orders))], func(n number) int { return n.values[r.IntN(len(n.values))] })
	}
	for range n {
		at := r.Float64() * total
		for _, k := range w.at {
			if at -= w.combos[k.combo].weight * float64(w.size[k.set]); at < 0 {
				ws = append(ws, draw(k))
				break
			}
		}
	}
	edges, _ := w.edges()
	for _, e := range edges {
		ws = append(ws, e.with(w, r, draw))
	}
	return ws, false
}

func valueOf(numbers []number, least int) number {
	for _, n := range numbers {
		if n.least == least {
			return n
		}
	}
	return number{}
}

// alike reports whether all are the same.
func alike(does []string) bool {
	return !slices.ContainsFunc(does, func(d string) bool { return d != does[0] })
}

// about is how much knowing a tells of b, in bits, less what that many values would tell by chance.
func about(a, b []string) float64 {
	n := float64(len(a))
	entropy := func(of func(i int) string) (h float64, values int) {
		count := map[string]int{}
		for i := range a {
			count[of(i)]++
		}
		keys := make([]string, 0, len(count))
		for k := range count {
			keys = append(keys, k)
		}
		slices.Sort(keys) // sums of floats go by the order of their terms
		for _, k := range keys {
			p := float64(count[k]) / n
			h -= p * math.Log2(p)
		}
		return h, len(count)
	}
	ha, ka := entropy(func(i int) string { return a[i] })
	hb, kb := entropy(func(i int) string { return b[i] })
	both, _ := entropy(func(i int) string { return a[i] + "\x00" + b[i] })
	return ha + hb - both - float64((ka-1)*(kb-1))/(2*n*math.Ln2)
}

// matters chooses the rigs that tell most of what the designs do. none: the designs do the same in all worlds that are left, or in all that
// were drawn.
func (c *Calibration) matters(w worlds) (rigs []placedRig, told float64, none bool) {
	ws, _ := w.sample(drawn, c.env.Seed)
	does := c.concern.ask(c.env, ws)
	if c.concern.fault != nil || alike(does) {
		return nil, 0, true
	}
	shown, left := make([]string, len(ws)), c.most
	for {
		var take *table
		var taken []string
		best, now := 0.0, about(shown, does)
		for _, t := range c.tables {
			if len(t.parts) > left || c.skipped[t.name] != "" {
				continue
			}
			if c.stopped() != nil {
				return nil, 0, true
			}
			both := make([]string, len(ws))
			for i, r := range ws {
				both[i] = shown[i] + "\x00" + t.laid.outcome(r, 0)
			}
			gain := about(both, does) - now
			if score := gain / float64(len(t.parts)); gain > worthwhile && score > best+least {
				best, take, taken = score, t, both
			}
		}
		if take == nil {
			break
		}
		s := w.whole().by(take)
		rigs = append(rigs, placedRig{take, s.bits(), s.bits()})
		shown, left = taken, left-len(take.parts)
		if c.sp.mixed {
			break
		}
	}
	all := w.whole()
	for _, r := range rigs {
		all = all.by(r.table)
	}
	return rigs, all.bits(), false
}

// wanted are of the worlds that fit all answers but one those sets in which the designs do something else than where all fit.
func (c *Calibration) wanted(near []worlds) []worlds {
	if c.concern == nil {
		return near
	}
	one, _ := c.left.sample(1, c.env.Seed)
	kept := slices.Clone(near)
	for i, v := range near {
		ws, _ := v.less(c.left).sample(drawn/4, c.env.Seed)
		if len(ws) > 0 && alike(c.concern.ask(c.env, append(ws, one[0]))) {
			kept[i] = c.left
		}
	}
	return kept
}
