package calibrate

import (
	"math"
	"sync"
)

// split is how some rigs, fired together, split a set of worlds: into those that show the same.
type split struct {
	worlds
	group  []int32 // of each cluster
	groups []group
	weight []float64 // of each joint outcome, by its label
	total  float64
	lock   sync.Mutex
	cut    map[*int32]*joined
}

// group are combinations that go with the same orders and on which the rigs have acted alike.
type group struct {
	weight float64
	parts  []share
}

// share are the orders of a group that show one joint outcome.
type share struct {
	label  int32
	orders orderSet
}

// whole is the set before any rig: one outcome.
func (w worlds) whole() *split {
	s := &split{worlds: w, cut: map[*int32]*joined{}}
	of := map[int32]int32{}
	for _, k := range w.at {
		g, ok := of[k.set]
		if !ok {
			g = int32(len(s.groups))
			of[k.set] = g
			s.groups = append(s.groups, group{0, []share{{0, w.pool[k.set]}}})
		}
		s.groups[g].weight += w.combos[k.combo].weight
		s.group = append(s.group, g)
	}
	s.weigh(1)
	return s
}

// weigh adds up the weights of the labels.
func (s *split) weigh(labels int) {
	s.weight, s.total = make([]float64, labels), 0
	for _, g := range s.groups {
		for _, p := range g.parts {
			n := g.weight * float64(p.orders.count())
			s.weight[p.label] += n
			s.total += n
		}
	}
}

// joint are the clusters of one group to which a rig's combinations are alike.
type joint struct {
	group, cell int32
	weight      float64
}

// joined is how the groups are cut by the combinations that are alike to some rigs.
type joined struct {
	joints []joint
	group  []int32 // of each cluster, which joint
}

// join cuts the groups. Rigs that find the same combinations alike share the work.
func (s *split) join(t *table) *joined {
	s.lock.Lock()
	defer s.lock.Unlock()
	if j := s.cut[&t.cellOf[0]]; j != nil {
		return j
	}
	n := &joined{group: make([]int32, len(s.at))}
	of := make([]int32, len(s.groups)*len(t.cells)) // a joint, counted from 1
	for i, k := range s.at {
		group, cell := s.group[i], t.cellOf[k.combo]
		at := &of[int(group)*len(t.cells)+int(cell)]
		if *at == 0 {
			n.joints = append(n.joints, joint{group, cell, 0})
			*at = int32(len(n.joints))
		}
		n.joints[*at-1].weight += s.combos[k.combo].weight
		n.group[i] = *at - 1
	}
	s.cut[&t.cellOf[0]] = n
	return n
}

// by splits further by one more rig.
func (s *split) by(t *table) *split {
	cut := s.join(t)
	n := &split{worlds: s.worlds, group: cut.group, groups: make([]group, len(cut.joints)), cut: map[*int32]*joined{}}
	labels := map[[2]int32]int32{}
	for g, j := range cut.joints {
		n.groups[g].weight = j.weight
		for _, p := range s.groups[j.group].parts {
			for _, sh := range t.row(j.cell, p.orders).shows {
				both := p.orders.and(sh.orders)
				if both == nil {
					continue
				}
				key := [2]int32{p.label, int32(sh.outcome)}
				l, ok := labels[key]
				if !ok {
					l = int32(len(labels))
					labels[key] = l
				}
				n.groups[g].parts = append(n.groups[g].parts, share{l, both})
			}
		}
	}
	n.weigh(len(labels))
	return n
}

// bits is how much the rigs tell on average: the entropy of what they show.
func (s *split) bits() (h float64) {
	for _, w := range s.weight {
		if w > 0 && w < s.total {
			p := w / s.total
			h -= p * math.Log2(p)
		}
	}
	return h
}
