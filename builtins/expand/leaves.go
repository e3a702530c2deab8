package expand

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"pulsewright/builtins"
	"pulsewright/builtins/hold"
	"pulsewright/builtins/inspect"
	"pulsewright/builtins/observe"
	"pulsewright/builtins/sketch"
	"pulsewright/builtins/trial"

	"go.starlark.net/starlark"
)

// What a rig holds is compared from size to size. That a list of lamps grows with the machine, and that its last one lies further off, is as it
// should be; of these the report says that send and read are taken not to go by them. All else must be the same, or not be looked at.

// leaf is something that a rig holds, by the way that leads to it.
type leaf struct {
	way   string
	value string // what it is, and which
	named bool   // an attribute of a struct, so that one can see whether it is looked at
	deep  bool   // it lies in something of which a leaf says how many it holds: there may be more
	loose string // what it says may go by the size, in words; "": it may not
}

// leaves lists what a rig holds.
func (s slicer) leaves(v starlark.Value) (all []leaf) {
	const deepest = 20 // what is held in many ways is listed for each
	hold.WalkAll(v, func(h hold.Held) bool {
		if h.Depth > deepest {
			return false
		}
		l := leaf{way: way(h), value: h.Value.Type(), named: named(&h), deep: inList(&h)}
		add := func(way, value, loose string) {
			all = append(all, leaf{way, value, l.named && way == l.way, l.deep, loose})
		}
		many := func(n int) { add(l.way, fmt.Sprint(n), "however much "+watched(&h)+" holds") }
		switch v := h.Value.(type) {
		case starlark.Tuple:
			if cell, ok := builtins.AsCell(v); ok {
				k := s.of(cell)
				add(l.way, fmt.Sprint("cell ", s.local(cell, k)), "")
				add(l.way, fmt.Sprint(cell), "wherever "+watched(&h)+" lies")
				return false
			}
		case *builtins.Frame:
			k := s.of(v.At)
			add(l.way, fmt.Sprint("frame ", s.local(v.At, k), v.Axes, v.Mirror), "")
			add(l.way, fmt.Sprint(v.At), "wherever "+watched(&h)+" lies")
			return false
		case builtins.Part, *observe.Probe, *sketch.Sketch, *trial.Chained:
			all = append(all, l)
			if n := starlark.Len(v); n >= 0 {
				many(n)
			}
			return false
		case *builtins.Row:
			all = append(all, l)
			many(v.Len())
			return false
		case *starlark.Function:
			add(l.way, fmt.Sprint(v.Name(), " at ", v.Position()), "")
			return true
		case *starlark.Builtin:
			add(l.way, "built-in "+v.Name(), "")
			return true
		case *inspect.Look: // what is looked at of it is not watched
			for _, a := range v.AttrNames() {
				if x, err := v.Attr(a); err == nil && a != "text" {
					for _, inner := range s.leaves(x) {
						add(l.way+"."+a+inner.way, inner.value, inner.loose)
					}
				}
			}
			return true
		}
		if !hold.Holding(h.Value) {
			l.value, l.deep = l.value+" "+h.Value.String(), false
			if it, ok := h.Value.(starlark.Iterable); ok { // a range, or the like
				i := 0
				for x := range starlark.Elements(it) {
					add(fmt.Sprintf("%s[%d]", l.way, i), x.Type()+" "+x.String(), "")
					i++
				}
				return true
			}
		} else if n := starlark.Len(h.Value); n >= 0 {
			many(n)
		}
		all = append(all, l)
		return true
	})
	return all
}

// inList reports whether one comes to a value by way of one that holds any number of others.
func inList(h *hold.Held) bool {
	switch h.Way {
	case hold.Whole:
		return false
	case hold.Element, hold.Key, hold.Under:
		return true
	}
	return inList(h.In)
}

// named reports whether one comes to a value by attributes of structs alone.
func named(h *hold.Held) bool { return h.In == nil || h.Way == hold.Field && named(h.In) }

// watched names what of a rig one must look at to come to a value.
func watched(h *hold.Held) string {
	for !named(h) {
		h = h.In
	}
	if h.In == nil {
		return "the rig"
	}
	return way(*h)
}

// way is how one comes to what a rig holds.
func way(h hold.Held) string {
	if h.In == nil {
		return ""
	}
	to := way(*h.In)
	switch h.Way {
	case hold.Field:
		return to + "." + h.Name
	case hold.Key:
		return fmt.Sprintf("%s, key %s", to, builtins.Show(h.Key))
	case hold.Under:
		return fmt.Sprintf("%s[%s]", to, builtins.Show(h.Key))
	case hold.Captured:
		return to + " of " + h.Name
	case hold.Usual:
		return to + " by default for " + h.Name
	case hold.Receiver:
		return to + " of its value"
	}
	return fmt.Sprintf("%s[%d]", to, h.Index)
}

// differing is what rigs do not all hold alike.
type differing struct {
	ways   map[string]bool // the ways to it
	hidden string          // the first of those, by name, that cannot be watched
	loose  map[string]bool // what may go by the size, in words
}

// compare adds what two rigs do not both hold alike.
func (d *differing) compare(a, b []leaf) {
	if slices.Equal(a, b) {
		return
	}
	missing := func(a, b []leaf) {
		type kind struct {
			way   string
			loose bool
		}
		of := func(l leaf) kind { return kind{l.way, l.loose != ""} }
		at := make(map[kind]leaf, len(a))
		for _, l := range a {
			at[of(l)] = l
		}
		for _, l := range b {
			m, ok := at[of(l)]
			switch {
			case ok && l == m || !ok && l.deep:
			case l.loose != "":
				d.loose[l.loose] = true
			default:
				d.ways[l.way] = true
				if !l.named && (d.hidden == "" || l.way < d.hidden) {
					d.hidden = l.way
				}
			}
		}
	}
	missing(a, b)
	missing(b, a)
}

// freely says by what of the rig send and read are taken not to go.
func (d *differing) freely() string {
	var text strings.Builder
	for _, l := range slices.Sorted(maps.Keys(d.loose)) {
		text.WriteString(", " + l)
	}
	return text.String()
}
