package calibrate

import (
	"crypto/sha256"
	"fmt"
	"sync"

	"pulsewright/builtins"
	"pulsewright/engine"
)

// setup is what a calibration begins with: the values that each rule may have.
type setup struct {
	orders             []engine.Rules
	news               []engine.News
	reads              []engine.Reads
	travel, reach, run []int
	most               int
	check              bool
	name               string
	at                 engine.Cell
	kin                []*family
}

// newCalibration begins a calibration.
func newCalibration(e *builtins.Env, s setup) (*Calibration, error) {
	rigs := catalogue(s.most, s.travel[len(s.travel)-1], s.reach[len(s.reach)-1], s.kin)
	reach, run := 1, 1
	for _, l := range rigs {
		h, u := l.rig.most()
		reach, run = max(reach, h), max(run, u)
	}
	sp := &space{orders: s.orders, news: s.news, reads: s.reads, travel: collapsed(s.travel, engine.MaxTravel), reach: collapsed(s.reach, reach), run: collapsed(s.run, run), kin: s.kin}
	if n := len(sp.news) * len(sp.reads) * len(sp.travel) * len(sp.reach) * len(sp.run) * sp.ways(); n > mostCombos {
		return nil, fmt.Errorf("%d combinations of news, reads, travel, reach, run and kinds, want at most %d: name fewer values, travel first", n, mostCombos)
	}
	sp.finish()
	c := &Calibration{env: e, sp: sp, most: s.most, check: s.check, name: s.name, at: s.at, byName: map[string]*table{}, skipped: map[string]string{}}
	for _, l := range rigs {
		if err := c.stopped(); err != nil {
			return nil, err
		}
		l.at = s.at
		t := newTable(sp, l)
		c.tables = append(c.tables, t)
		c.byName[l.rig.name] = t
	}
	c.left = sp.all()
	c.key = sha256.Sum256(fmt.Append(nil, s.orders, s.news, s.reads, s.travel, s.reach, s.run, s.most, s.at, families(s.kin)))
	return c, nil
}

// openings remembers the first experiment of each setup, the dearest to work out: the names of its rigs, and the bits they tell. It goes by
// nothing but the setup.
var openings sync.Map // from the key of a calibration to an opening

type opening struct {
	names []string
	bits  []placedRig
	all   float64
}

// open gives the first experiment if it is known.
func (c *Calibration) open() *experiment {
	v, ok := openings.Load(c.key)
	if !ok {
		return nil
	}
	o := v.(opening)
	x := &experiment{bits: o.all, at: c.at}
	for i, name := range o.names {
		x.rigs = append(x.rigs, placedRig{c.byName[name], o.bits[i].bits, o.bits[i].adds})
	}
	return x
}

// opened notes it.
func (c *Calibration) opened(x *experiment) {
	o := opening{all: x.bits}
	for _, r := range x.rigs {
		o.names = append(o.names, r.name)
		o.bits = append(o.bits, placedRig{nil, r.bits, r.adds})
	}
	openings.Store(c.key, o)
}

// has reports whether a world is among those that are left.
func (c *Calibration) has(r engine.Rules) bool {
	for _, cl := range c.left.at {
		k, id := &c.sp.combos[cl.combo], cl.set
		if k.news != r.News || k.reads != r.Reads || !holds(c.sp.travel, k.travel, r.Travel) || !holds(c.sp.reach, k.reach, r.Reach) || !holds(c.sp.run, k.run, r.Run) {
			continue
		}
		for j, o := range c.sp.orders {
			if o.Order == r.Order && o.Mixed == r.Mixed && o.Seed == r.Seed && c.sp.pool[id].has(j) {
				return true
			}
		}
	}
	return false
}

// holds reports whether a value is one of those that the number beginning at least stands for.
func holds(numbers []number, least, value int) bool {
	for _, n := range numbers {
		if n.least == least {
			return n.least <= value && value <= n.most
		}
	}
	return false
}
