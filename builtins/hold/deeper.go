package hold

import (
	"iter"

	"go.starlark.net/starlark"
)

// Depths looks how deep values lie in one another, for those who look often: it keeps next to nothing for what lies shallow, and uses what it
// keeps again.
type Depths struct {
	most  int
	round rounds      // of what is looked at
	known map[any]int // how deep others lie in a value; 0: it is being gone through
	way   []level     // from a value to what is looked at now
}

// Deeper reports whether in one of the values others lie more than most deep in one another, and how many it has looked at. What functions hold
// does not count. Once it is to stop it says no.
func (d *Depths) Deeper(vs iter.Seq[starlark.Value], most int, until Until) (deeper bool, looked int) {
	if d.known == nil {
		d.known = map[any]int{}
	}
	d.most, d.round = most, until.rounds()
	defer clear(d.known) // which keeps its room
	for v := range vs {
		ok, err := shallow(v, 6, &d.round)
		if err == nil && !ok {
			deeper, err = d.deeper(v)
		}
		if deeper || err != nil {
			return deeper, d.round.n
		}
	}
	return false, d.round.n
}

// level is a value that is being gone through.
type level struct {
	id   any
	list *starlark.List   // what it holds,
	all  []starlark.Value // or what it holds
	next int
	deep int // how deep others lie in it, as far as it is known
}

func (l *level) held() (v starlark.Value, ok bool) {
	i := l.next
	l.next++
	switch {
	case l.list != nil && i < l.list.Len():
		return l.list.Index(i), true
	case i < len(l.all):
		return l.all[i], true
	}
	return nil, false
}

func (d *Depths) deeper(v starlark.Value) (bool, error) {
	d.way = d.way[:0]
	if d.enter(v) > d.most {
		return true, nil
	}
	for len(d.way) > 0 {
		n := len(d.way) - 1
		if v, ok := d.way[n].held(); ok {
			if err := d.round.next(); err != nil {
				return false, err
			}
			in := d.enter(v)
			if len(d.way)+in > d.most {
				return true, nil
			}
			d.way[n].deep = max(d.way[n].deep, in)
			continue
		}
		deep := d.way[n].deep + 1
		d.known[d.way[n].id] = deep
		if d.way = d.way[:n]; n > 0 {
			d.way[n-1].deep = max(d.way[n-1].deep, deep)
		}
	}
	return false, nil
}

// enter goes into a value, and gives how deep others lie in it if it has been gone through before.
func (d *Depths) enter(v starlark.Value) int {
	if Plain(v) {
		return 0
	}
	switch v.(type) {
	case *starlark.Function, *starlark.Builtin:
		return 0
	}
	id := identity(v)
	if id == nil {
		return 0
	}
	if deep, ok := d.known[id]; ok {
		return deep
	}
	d.known[id] = 0
	l := level{id: id}
	switch v := v.(type) {
	case *starlark.List:
		l.list = v
	case starlark.Tuple:
		l.all = v
	default:
		for h := range Holds(v) {
			l.all = append(l.all, h.Value)
		}
	}
	d.way = append(d.way, l)
	return 0
}
