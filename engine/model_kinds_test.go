package engine_test

import (
	"fmt"
	"math/rand/v2"

	"pulsewright/engine"
)

// toldKind is a kind of one's own as it was told. The table that the engine makes of it is not looked at.
type toldKind struct {
	engine.SpecDef
	wants func(engine.Look) int
}

// randomKind is the random kind of a number: the same each time, so that benches can be printed and played again.
func randomKind(number int) *toldKind {
	return kindOf(fmt.Sprint("kind ", number), rand.New(rand.NewPCG(uint64(number), 9)), 1<<13)
}

// bytesKind is the kind that some bytes choose; it has them in its name.
func bytesKind(data string) *toldKind {
	return kindOf(fmt.Sprintf("bytes %x", data), &bytesChooser{[]byte(data)}, 1<<11)
}

// kindOf is a kind by choice. Its table seldom has more than most entries: larger ones take long to make.
func kindOf(name string, by chooser, most int) *toldKind {
	c := maker{chooser: by}
	n := 2 + min(c.IntN(7), c.IntN(7))
	if c.one(3) {
		n = 2
	}
	k := &toldKind{SpecDef: engine.SpecDef{Name: name, Letter: 'K', Faces: !c.one(4), Once: c.one(3), Relook: c.one(4),
		States: make([]string, n), When: make([]int, n), Then: make([]int, n), Feeds: make([]engine.Feeds, n),
		Conducts: make([]bool, n), Says: make([]string, n), Active: make([]bool, n)}}
	c.groups(k)
	c.reactions(k)
	c.effects(k)
	if c.one(30) {
		most = engine.MaxTable
	}
	for g := engine.BackCell; k.Combinations() > most && g <= engine.AroundCells; g <<= 1 {
		k.Pads &^= g
	}
	k.wants = c.machine(n)
	return k
}

// spec has the engine make its table.
func (k *toldKind) spec() *engine.Spec { return tell(k.SpecDef, k.wants) }

// sameKind is the kind that a spec was made of.
func sameKind(s *engine.Spec) *toldKind {
	var number int
	var data []byte
	if _, err := fmt.Sscanf(s.Name, "bytes %x", &data); err == nil || s.Name == "bytes " {
		return bytesKind(string(data))
	}
	if _, err := fmt.Sscanf(s.Name, "kind %d", &number); err != nil {
		panic(err)
	}
	return randomKind(number)
}

// groups chooses what a kind reads and hears: often all that is usual.
func (m *maker) groups(k *toldKind) {
	if !k.Faces {
		k.Pads, k.Hears = engine.AroundCells, engine.AroundCells
		if m.one(6) {
			k.Pads = 0
		}
		if m.one(8) {
			k.Hears = 0
		}
		return
	}
	k.Pads, k.Hears = rearCells, hearsRear
	if m.one(2) {
		k.Pads = engine.Groups(m.IntN(1 << 5))
	}
	if m.one(3) {
		k.Hears = engine.Groups(m.IntN(1 << 3))
	}
}

// reactions chooses when a kind reacts, and when it looks by itself.
func (m *maker) reactions(k *toldKind) {
	reaction := func() int {
		return []int{engine.Now, engine.NextStep, engine.NextStep, 1 + m.IntN(3)}[m.IntN(4)]
	}
	all, each := reaction(), m.one(3)
	timed := m.one(2)
	for i := range k.States {
		k.States[i] = string(rune('a' + i))
		k.When[i] = all
		if each {
			k.When[i] = reaction()
		}
		if timed && m.one(2) {
			k.Then[i] = 1 + m.ticks(3)
		}
	}
}

// effects chooses what a kind does in each state.
func (m *maker) effects(k *toldKind) {
	feeds, conducts, silent, odd := m.one(2), m.one(4), m.one(3), m.one(3)
	for i := range k.States {
		if feeds {
			k.Feeds[i].What = []engine.Feeding{engine.FeedsNothing, engine.FeedsAround, engine.FeedsFront}[m.IntN(3)]
			switch {
			case k.Feeds[i].What != engine.FeedsFront:
			case !k.Faces:
				k.Feeds[i].What = engine.FeedsAround
			case m.one(2):
				k.Feeds[i].Level = 1 + m.IntN(6)
			}
		}
		k.Conducts[i] = conducts && m.one(2)
		if !silent || !m.one(2) {
			k.Says[i] = k.States[i]
		}
		k.Active[i] = i > 0
		if odd {
			k.Active[i] = m.one(2)
		}
	}
	if k.Tells = []engine.Tells{engine.TellsAround, engine.TellsAround, engine.TellsFront, engine.TellsNone}[m.IntN(4)]; k.Tells == engine.TellsFront && !k.Faces {
		k.Tells = engine.TellsAround
	}
}

// machine chooses a pure function: what a part of n states would have. -1 is as it is.
func (m *maker) machine(n int) func(engine.Look) int {
	salt, sort, deaf := m.IntN(1<<30), m.IntN(6), m.one(2)
	return func(l engine.Look) int {
		live := when(l.Back) + when(l.Front) + when(l.FarBack) + when(l.FarFront) + l.Sides + l.Around + l.Cords + when(l.Forced)
		by := int(l.Told)
		if deaf && l.Told != engine.ByDue {
			by = 0
		}
		switch sort {
		case 0: // anything may matter
			all := jumble(salt, l.State, by, when(l.Back), when(l.Front), when(l.FarBack), when(l.FarFront), l.Sides, l.Around, l.Cords, when(l.Forced))
			if all %= 2 * n; all >= n {
				return -1
			}
			return all
		case 1: // its state, who tells it and whether anything is live
			return jumble(salt, l.State, by, when(live > 0)) % n
		case 2: // what is live alone
			return jumble(salt, live) % n
		case 3:
			return min(live, n-1)
		case 4: // it goes on while something is live, or when its time is over
			switch {
			case live > 0 || l.Told == engine.ByDue:
				return (l.State + 1) % n
			case l.State == 0:
				return -1
			}
			return 0
		}
		if l.Told == engine.ByDue { // it goes by its time, and otherwise only when it is at rest
			return jumble(salt, l.State, live) % n
		}
		if l.State == 0 && live > 0 {
			return 1
		}
		return -1
	}
}

// jumble makes one number of many.
func jumble(vs ...int) int {
	h := uint64(0)
	for _, v := range vs {
		h = (h ^ uint64(v+1)) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	return int(h >> 1)
}
