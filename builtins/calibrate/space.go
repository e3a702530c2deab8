package calibrate

import (
	"math/bits"
	"slices"

	"pulsewright/engine"
)

// space is every world that may be the user's: any of the orders, with any of the values of each other rule. Numbers that no rig told apart
// can reach, such as a reach over what the longest row needs, are one value that stands for all of them.
type space struct {
	orders []engine.Rules // of which only the order counts
	news   []engine.News
	reads  []engine.Reads
	travel []number
	reach  []number
	run    []number
	kin    []*family  // kinds of the user's own of which it is open how they are told
	mixed  bool       // some order is a mixed one: then it matters where a rig stands
	combos []combo    // all but the order
	pool   []orderSet // sets of orders, each once; the first is the empty one
	size   []int      // how many orders each holds
	index  map[string]int32
	like   map[likeKey]likeCombos
}

// number is one value of a rule, or from least on all of them up to most, of which there are so many.
type number struct {
	least, most int
	of          int
	values      []int
}

// combo is a value for each rule but the order.
type combo struct {
	news   engine.News
	reads  engine.Reads
	travel int
	reach  int
	run    int
	kinds  int     // how each kind of the user's own is told, as one number (ways)
	weight float64 // how many worlds it stands for, for each order
}

// orderSet is a set of orders, by their number.
type orderSet []uint64

func newOrderSet(n int) orderSet { return make(orderSet, (n+63)/64) }

func (s orderSet) add(i int) { s[i/64] |= 1 << (i % 64) }

func (s orderSet) has(i int) bool { return s[i/64]>>(i%64)&1 != 0 }

func (s orderSet) count() (n int) {
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// and is what both hold, nil if that is nothing.
func (s orderSet) and(o orderSet) orderSet {
	var both orderSet
	for i, w := range s {
		if w &= o[i]; w != 0 {
			if both == nil {
				both = make(orderSet, len(s))
			}
			both[i] = w
		}
	}
	return both
}

// meets reports whether there is any that both hold.
func (s orderSet) meets(o orderSet) bool {
	for i, w := range s {
		if w&o[i] != 0 {
			return true
		}
	}
	return false
}

// countAnd is how many both hold.
func (s orderSet) countAnd(o orderSet) (n int) {
	for i, w := range s {
		n += bits.OnesCount64(w & o[i])
	}
	return n
}

// collapsed makes one value of all numbers from most on.
func collapsed(values []int, most int) (all []number) {
	for _, v := range values {
		if n := len(all); v > most && n > 0 && all[n-1].least >= most {
			all[n-1].of++
			all[n-1].most = v
			all[n-1].values = append(all[n-1].values, v)
			continue
		}
		all = append(all, number{v, v, 1, []int{v}})
	}
	return all
}

// finish lists the combinations.
func (sp *space) finish() {
	sp.mixed = slices.ContainsFunc(sp.orders, func(o engine.Rules) bool { return o.Mixed })
	for _, n := range sp.news {
		for _, r := range sp.reads {
			for _, t := range sp.travel {
				for _, h := range sp.reach {
					for _, u := range sp.run {
						for k := range sp.ways() {
							sp.combos = append(sp.combos, combo{n, r, t.least, h.least, u.least, k, float64(t.of * h.of * u.of)})
						}
					}
				}
			}
		}
	}
	sp.like = map[likeKey]likeCombos{}
	sp.index = map[string]int32{"": 0}
	sp.pool, sp.size = []orderSet{nil}, []int{0}
}

// intern gives each set of orders one number; 0 is the empty one.
func (sp *space) intern(s orderSet) int32 {
	if s == nil {
		return 0
	}
	key := make([]byte, 0, 8*len(s))
	for _, w := range s {
		for k := range 8 {
			key = append(key, byte(w>>(8*k)))
		}
	}
	i, ok := sp.index[string(key)]
	if !ok {
		i = int32(len(sp.pool))
		sp.pool, sp.size = append(sp.pool, s), append(sp.size, s.count())
		sp.index[string(key)] = i
	}
	return i
}

// rules are those of one world.
func (sp *space) rules(c *combo, order int) engine.Rules {
	r := sp.orders[order]
	r.News, r.Reads, r.Travel, r.Reach, r.Run = c.news, c.reads, c.travel, c.reach, c.run
	return r
}

// worlds is a set of worlds: the combinations in it, in their order, each with the orders it goes with.
type worlds struct {
	*space
	at []cluster
}

// cluster are the worlds of one combination, by the number of their orders in the pool.
type cluster struct{ combo, set int32 }

// all are all worlds of the space.
func (sp *space) all() worlds {
	every := newOrderSet(len(sp.orders))
	for i := range sp.orders {
		every.add(i)
	}
	id := sp.intern(every)
	w := worlds{sp, make([]cluster, len(sp.combos))}
	for i := range w.at {
		w.at[i] = cluster{int32(i), id}
	}
	return w
}

// count is how many worlds there are.
func (w worlds) count() (n float64) {
	for _, k := range w.at {
		n += w.combos[k.combo].weight * float64(w.size[k.set])
	}
	return n
}

func (w worlds) empty() bool { return len(w.at) == 0 }

// where are the worlds in which a rig shows an outcome.
func (w worlds) where(t *table, outcome string) worlds {
	n := worlds{space: w.space}
	type seen struct {
		set int32
		by  *uint64
	}
	memo := map[seen]int32{}
	for _, k := range w.at {
		keep := t.showing(k.combo, outcome, w.pool[k.set])
		if keep == nil {
			continue
		}
		s := seen{k.set, &keep[0]}
		to, ok := memo[s]
		if !ok {
			to = w.intern(w.pool[k.set].and(keep))
			memo[s] = to
		}
		if to != 0 {
			n.at = append(n.at, cluster{k.combo, to})
		}
	}
	return n
}

// both goes through two sets at once: f gives for each combination of either what is kept of its orders, 0 for a set that lacks it.
func (w worlds) both(o worlds, f func(a, b int32) int32) worlds {
	n := worlds{space: w.space}
	memo := map[[2]int32]int32{}
	for i, j := 0, 0; i < len(w.at) || j < len(o.at); {
		var c, a, b int32
		switch {
		case j == len(o.at) || i < len(w.at) && w.at[i].combo < o.at[j].combo:
			c, a = w.at[i].combo, w.at[i].set
			i++
		case i == len(w.at) || o.at[j].combo < w.at[i].combo:
			c, b = o.at[j].combo, o.at[j].set
			j++
		default:
			c, a, b = w.at[i].combo, w.at[i].set, o.at[j].set
			i++
			j++
		}
		to, ok := memo[[2]int32{a, b}]
		if !ok {
			to = f(a, b)
			memo[[2]int32{a, b}] = to
		}
		if to != 0 {
			n.at = append(n.at, cluster{c, to})
		}
	}
	return n
}

// and are the worlds in both.
func (w worlds) and(o worlds) worlds {
	return w.both(o, func(a, b int32) int32 {
		if a == 0 || b == 0 {
			return 0
		}
		return w.intern(w.pool[a].and(w.pool[b]))
	})
}

// or are the worlds in either.
func (w worlds) or(o worlds) worlds {
	return w.both(o, func(a, b int32) int32 {
		if a == 0 || b == 0 {
			return a + b
		}
		either := newOrderSet(len(w.orders))
		for i := range either {
			either[i] = w.pool[a][i] | w.pool[b][i]
		}
		return w.intern(either)
	})
}

// less are the worlds that are not in o.
func (w worlds) less(o worlds) worlds {
	return w.both(o, func(a, b int32) int32 {
		if a == 0 || b == 0 {
			return a
		}
		rest, some := slices.Clone(w.pool[a]), uint64(0)
		for i, x := range w.pool[b] {
			rest[i] &^= x
			some |= rest[i]
		}
		if some == 0 {
			return 0
		}
		return w.intern(rest)
	})
}
