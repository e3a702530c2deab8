package steplog

import (
	"fmt"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/engine"
)

// foldFrom is from how many like events on one row stands for all.
const foldFrom = 3

// fold collects the shown events of one turn and groups those that are alike: the same word and kind of part, and the same
// cause outside the group. Forty wires that go live for one cause are a group; so are reeds that flip one for
// the other, down the line. Groups keep the order of their first events.
type fold struct {
	events []engine.Event
	ids    []engine.EventID
	kinds  []engine.Kind
	list   []group
	byKey  map[groupKey]int
	of     map[engine.EventID]int // the group of each event of the turn
}

type group struct {
	first, last engine.Event
	n           int
}

type groupKey struct {
	what  engine.What
	kind  engine.Kind
	arg   int32
	cause int64 // of the event, if it lies before this turn; else minus the group that caused it
}

// takes reports whether e belongs to the turn that is being collected.
func (f *fold) takes(e engine.Event) bool {
	if len(f.events) == 0 {
		return true
	}
	t := &f.events[0]
	return t.Turn == e.Turn && t.Step == e.Step && t.Tick == e.Tick
}

// tick is that of the turn that is being collected, -1 if there is none.
func (f *fold) tick() int64 {
	if len(f.events) == 0 {
		return -1
	}
	return f.events[0].Tick
}

func (f *fold) add(id engine.EventID, e engine.Event, b *engine.Bench) {
	f.events = append(f.events, e)
	f.ids = append(f.ids, id)
	f.kinds = append(f.kinds, b.KindOf(e.ID))
}

func (f *fold) reset() {
	f.events, f.ids, f.kinds, f.list = f.events[:0], f.ids[:0], f.kinds[:0], f.list[:0]
}

// groups are the rows of the turn.
func (f *fold) groups() []group {
	f.list = f.list[:0]
	if len(f.events) < foldFrom {
		for _, e := range f.events {
			f.list = append(f.list, group{e, e, 1})
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
				f.list = append(f.list, group{first: e})
				keys = append(keys, key)
				f.byKey[key] = g
			}
		}
		f.list[g].n++
		f.list[g].last = e
		f.of[f.ids[i]] = g
	}
	return f.list
}

// span names a group: how many of what, the first and the last.
func (l *Log) span(first engine.Event, n int, last engine.Event) string {
	kind := l.bench.KindName(first.ID)
	a, z := l.label(first.ID), l.label(last.ID)
	a, z = withoutKind(a, kind), withoutKind(z, kind)
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
	return fmt.Sprintf("%d %s %s%s%s", n, say.Plural(kind), a, l.glyphs.dots, z)
}

// withoutKind takes the kind out of the label of a part that was given no name: wire (3, 0), or r1.wire(3,0) in a frame.
func withoutKind(label, kind string) string {
	if short, ok := strings.CutPrefix(label, kind+" "); ok {
		return short
	}
	return strings.Replace(label, "."+kind+"(", "(", 1)
}
