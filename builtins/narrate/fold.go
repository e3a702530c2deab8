package narrate

import (
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// FoldFrom is from how many like events on one row stands for all.
const FoldFrom = 3

// Fold collects the shown events of one turn and groups those that are alike: the same word and kind of part, and the same
// cause outside the group. Forty wires that go live for one cause are a group; so are reeds that flip one for
// the other, down the line. Groups keep the order of their first events.
type Fold struct {
	events []engine.Event
	ids    []engine.EventID
	kinds  []engine.Kind
	list   []Group
	byKey  map[groupKey]int
	of     map[engine.EventID]int // the group of each event of the turn
}

// Group is a row: N like events, from the first to the last.
type Group struct {
	First, Last engine.Event
	N           int
}

type groupKey struct {
	what  engine.What
	kind  engine.Kind
	arg   int32
	cause int64 // of the event, if it lies before this turn; else minus the group that caused it
}

// Takes reports whether e belongs to the turn that is being collected.
func (f *Fold) Takes(e engine.Event) bool {
	if len(f.events) == 0 {
		return true
	}
	t := &f.events[0]
	return t.Turn == e.Turn && t.Step == e.Step && t.Tick == e.Tick
}

// Tick is that of the turn that is being collected, -1 if there is none.
func (f *Fold) Tick() int64 {
	if len(f.events) == 0 {
		return -1
	}
	return f.events[0].Tick
}

// Add takes an event.
func (f *Fold) Add(id engine.EventID, e engine.Event, b *engine.Bench) {
	f.events = append(f.events, e)
	f.ids = append(f.ids, id)
	f.kinds = append(f.kinds, b.KindOf(e.ID))
}

// Reset begins another turn.
func (f *Fold) Reset() {
	f.events, f.ids, f.kinds, f.list = f.events[:0], f.ids[:0], f.kinds[:0], f.list[:0]
}

// Groups are the rows of the turn. They hold until the next call.
func (f *Fold) Groups() []Group {
	f.list = f.list[:0]
	if len(f.events) < FoldFrom {
		for _, e := range f.events {
			f.list = append(f.list, Group{e, e, 1})
		}
		return f.list
	}
	if f.byKey == nil {
		f.byKey, f.of = map[groupKey]int{}, map[engine.EventID]int{}
	}
	clear(f.byKey)
	clear(f.of)
	keys := make([]groupKey, 0, 8)
	for i, e := range f.events {
		key := groupKey{what: e.What, kind: f.kinds[i], arg: e.Arg, cause: int64(e.Cause)}
		g, found := 0, false
		if parent, ok := f.of[e.Cause]; ok && e.Cause != 0 {
			if k := keys[parent]; k.what == key.what && k.kind == key.kind && k.arg == key.arg {
				g, found = parent, true // one for the other
			} else {
				key.cause = -1 - int64(parent)
			}
		}
		if !found {
			if g, found = f.byKey[key]; !found {
				g = len(f.list)
				f.list = append(f.list, Group{First: e})
				keys = append(keys, key)
				f.byKey[key] = g
			}
		}
		f.list[g].N++
		f.list[g].Last = e
		f.of[f.ids[i]] = g
	}
	return f.list
}

// Span names a group: how many of what, the first and the last. Label names a part.
func Span(b *engine.Bench, g Group, label func(engine.ID) string, dots string) string {
	kind := b.KindName(g.First.ID)
	a, z := withoutKind(label(g.First.ID), kind), withoutKind(label(g.Last.ID), kind)
	// What both names begin with is said once: r1.wire(0,0)⋯(9,0).
	i := 0
	for i < len(a) && i < len(z) && a[i] == z[i] {
		i++
	}
	if cut := strings.LastIndexAny(a[:i], ".("); cut > 0 {
		if a[cut] == '.' {
			cut++
		}
		z = z[cut:]
	}
	return fmt.Sprintf("%d %s %s%s%s", g.N, say.Plural(kind), a, dots, z)
}

// withoutKind takes the kind out of the label of a part that was given no name: wire (3, 0), or r1.wire(3,0) in a frame.
func withoutKind(label, kind string) string {
	if short, ok := strings.CutPrefix(label, kind+" "); ok {
		return short
	}
	return strings.Replace(label, "."+kind+"(", "(", 1)
}
